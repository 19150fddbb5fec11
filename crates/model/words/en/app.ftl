# The words of the web app. English.
# Numbers come with their unit: `{ $gap }` is "1.25 m" or "4 ft 1 in".

## The frame
app-skip = Go to the page
app-tabs = Screens
app-tab-class = Class
app-tab-today = Today
app-tab-kit = Kit
app-tab-lanes = Lanes
app-choose-class = Choose a class
app-close = Close
app-dismiss = Put this line away
app-save = Save
app-done = Done
app-undo = Undo
app-undone = Taken back: { $what }
app-undo-changed-since = This was changed on another device since, so it was left as it is.
app-take-back = Take back
app-and = { $first } and { $last }
app-less = one less
app-more = one more
app-update-ready = A newer version is ready. Nothing is lost by reloading.
app-update-now = Reload now
app-reading = Reading what is on this device …
app-to-class = Go to the class list
app-to-today = Go to Today
app-to-kit = Go to kit and space
app-to-choice = Choose drills
app-to-floor = Enter the floor

## Where the data is
app-safe-device = On this device
app-safe-sending = Sending
app-safe-confirmed = Confirmed
app-safe-trouble = Please look
app-data-title = Where your data is
app-contact-unknown = The school's server has not been asked yet.
app-contact-open = The school's server has confirmed everything up to here.
app-contact-no-answer = The school's server does not answer. Work on: everything is kept on this device and sent when the server is back.
app-contact-other-school = This device holds the lists of another school, so nothing is sent to this server. Save a copy, then use a fresh browser profile for this school.
app-contact-other-version = App and server do not understand each other. Reload this page while the server runs. Nothing is lost.
app-data-here = { $count ->
    [0] Nothing is saved on this device yet.
    [one] One entry is saved on this device.
   *[other] { $count } entries are saved on this device.
}
app-data-waiting = { $count ->
    [0] Nothing waits to be sent.
    [one] One entry waits to be sent.
   *[other] { $count } entries wait to be sent.
}
app-data-kept = The browser has promised to keep this data.
app-data-not-kept = The browser may clear this data when the device runs out of room. Send it to the server or save a copy.
app-data-not-asked = Private windows forget everything when they are closed: use an ordinary one.
app-data-privacy = The data stays on this device and on your school's own server. Nothing goes anywhere else.
app-refused-clock-ahead = The server refused an entry because this device's clock is more than a day ahead. Set the clock right, then send again.
app-refused-other-school = The server refused an entry because it belongs to another school.
app-refused-bad-body = The server could not read an entry. Reload this page to get the newest app, then send again.
app-refused-other = The server refused an entry. Reload this page to get the newest app, then send again.
app-send-refused = Send the refused ones again
app-send-now = Send now
app-save-copy = Save a copy
app-units = Lengths in
app-units-metric = Metres
app-units-feet = Feet and inches
app-language = Language
app-language-english = English
app-language-german = Deutsch
app-no-storage = This browser keeps nothing, so nothing can be saved ({ $reason }). Allow storage for this page, or open it in an ordinary window.
app-not-saved = NOT saved ({ $reason }). What you typed is still there: try once more.
app-stranger-title = This browser has no key to the server yet
app-stranger-text = Open the link that the program printed when it started; it works once. Until then everything is kept on this device only.

## Entries
app-entry-number = “{ $entry }” is not a number. Write it like 12.5.
app-entry-count = Write a whole number from { $low } to { $high }.
app-entry-length-cm = “{ $entry }” is not a length. Write centimetres like 142, or 1.42 m.
app-entry-length-m = “{ $entry }” is not a length. Write metres like 5.25, or 525 cm.
app-entry-length-ft = “{ $entry }” is not a length. Write it like 4 ft 8 in.
app-entry-between = This must lie between { $low } and { $high }. Check the unit.
app-entry-date = “{ $entry }” is not a date. Write year, month and day like 2014-06-05.
app-entry-date-range = This date must lie between { $low } and { $high }. Check the year.
app-hint-cm = cm
app-hint-m = m
app-hint-ft = ft and in
app-hint-kg = kg
app-hint-grams = g
app-hint-newtons = N

## Class
app-welcome-title = Lanes that fit your children
app-welcome-text = Tell me who is in the class, which hurdles you have and how big the floor is. You get lanes with the right gaps, tape marks and a plan to print.
app-welcome-privacy = Initials or first names are enough. Everything stays on this device and on your school's own server.
app-begin-import = Read in a class list
app-begin-import-hint = a CSV file, or pasted from a spreadsheet
app-begin-type = Type the names
app-begin-type-hint = sizes can follow later
app-begin-demo = Look around first
app-begin-demo-hint = with an invented class, 7 Larch
app-class-summary = { $count ->
    [0] No children yet.
    [one] One child
   *[other] { $count } children
}{ $count ->
    [0] {""}
   *[other] {" "}· { $sized } with a height · { $stepped } with measured steps
}
app-children = { $count ->
    [0] no children yet
    [one] one child
   *[other] { $count } children
}
app-rename = Rename
app-import = Read in a list
app-line-up = Line up by size
app-add-label = Add a child
app-add-hint = name or initials
app-add = Add
app-add-nothing = Type a name or initials first.
app-class-empty = Add the children by name, or read in a list.
app-known-girl = girl
app-known-boy = boy
app-known-age = { $years } y
app-known-leg = leg { $length }
app-known-steps = steps measured
app-known-nothing = only the name
app-next-today = Next: who is here today
app-new-class = New class
app-new-class-title = A new class
app-class-name = Name of the class
app-class-name-hint = such as 7 Larch
app-class-name-missing = Give the class a name, such as 7 Larch.
app-class-names = Children
app-class-names-hint = one in each line; can follow later
app-save-class = Make the class
app-class-name-title = This class
app-class-gone = Take the class off
app-class-gone-hint = Taking it off hides the class with its list. It can be undone.
app-said-added = { $name } is on the list.
app-said-added-many = { $count } children are on the list.
app-said-new-class = { $name } is made.
app-said-renamed = The class is called { $name }.
app-said-class-gone = { $name } is taken off.
app-said-off-list = { $name } is off the list.
app-said-child = { $name } is saved.

## One child
app-child-title = One child
app-child-gone = This child is no longer on the list.
app-child-label = Name
app-child-label-hint = or initials
app-label-missing = Type a name or initials.
app-child-sex = Sex, for the growth tables
app-sex-girl = Girl
app-sex-boy = Boy
app-sex-none = Not said
app-child-stature = Height
app-child-leg = Leg length
app-child-age = Age
app-child-age-hint = years
app-age-range = Write an age from 3 to 25 years.
app-child-born = Born
app-child-born-hint = instead of age
app-child-why = Only the name is needed. Each thing more narrows the guess; a measured step beats them all. Leg length is from the floor to the top of the thigh bone's outer knob.
app-take-off = Take off the list
app-steps-title = Steps
app-steps-none = Nothing measured yet.
app-step-length = running step { $length }
app-step-tape = { $distance } over { $steps ->
    [one] one step
   *[other] { $steps } steps
}, taped
app-step-timed = { $steps } steps over { $distance } in { $time } s
app-step-heard = { $distance } in { $time } s, heard: { $cadence } steps a second, steps of { $step }
app-step-counted = { $steps } steps over { $distance }
app-step-too-close = { $gap } was too close ({ $drill })
app-step-right = { $gap } was right ({ $drill })
app-step-too-far = { $gap } was too far ({ $drill })
app-said-measurement-back = The measurement is taken back.

## Reading in a list
app-import-title = Read in a class list
app-import-how = Choose the file or paste the table. Names are enough; sex, age or date of birth, height, leg length and step length are used when they are there.
app-import-file = Choose a file
app-import-paste = Or paste it here
app-import-paste-go = Read what I pasted
app-import-paste-hint = from a spreadsheet, with its headings
app-import-nothing = Choose a file or paste a table first.
app-import-found = { $count ->
    [one] One child found
   *[other] { $count } children found
}
app-import-question = { $count ->
    [one] One question first
   *[other] { $count } questions first
}
app-import-columns = How I read the columns
app-import-col-sex = sex
app-import-col-age = age or born
app-import-col-leg = leg
app-import-col-step = step
app-import-unreadable = The file could not be read ({ $reason }). Choose it again.
app-import-bad = { $count ->
    [one] One cell must be changed first
   *[other] { $count } cells must be changed first
}
app-import-bad-how = Change them in the file and choose it again. Nothing is saved until everything can be.
app-import-bad-how-text = Change them in the text that you pasted and read it again. Nothing is saved until everything can be.
app-import-more-bad = and { $count } more
app-import-rows = The children
app-import-into = Save into
app-import-into-new = A new class
app-import-name = Name of the new class
app-import-twice = This very file was read into { $class } before. Saving it again adds nothing new.
app-import-missing-of = { $count ->
    [one] One child of the class is not in the list and stays.
   *[other] { $count } children of the class are not in the list and stay.
}
app-import-save = { $count ->
    [one] Save one child
   *[other] Save { $count } children
}
app-import-save-changes = Save what is new
app-import-nothing-new = There is nothing new to save.
app-import-again = Choose another file
app-import-change = Change the text, or choose a file
app-said-import = { $count ->
    [one] One child is
   *[other] { $count } children are
} read into { $class }.
app-said-import-changes = What was new is read into { $class }.
app-demo-name = 7 Larch

## Line up by size
app-line-up-title = Line up by size
app-line-up-how = Stand the children in a line. Tap them from the tallest to the shortest, then measure three of them: the others follow from their places.
app-line-up-next = next in line
app-line-up-back = Take the last one back
app-line-up-again = Start again
app-line-up-measure = Now measure these three. A field may stay empty if the height is known.
app-line-up-tallest = Tallest: { $name }
app-line-up-middle = Middle: { $name }
app-line-up-shortest = Shortest: { $name }
app-line-up-three = Tap at least three children.
app-line-up-entry = { $name }: { $what }
app-said-line-up = { $count } children are lined up.

## Today
app-today-title = Who is here
app-today-empty = There is no class list yet.
app-everybody = All are here
app-counts = How many
app-brush = Tap who is
app-present = here
app-easy = easy
app-helping = helping
app-absent = absent
app-said-present = { $name } is here.
app-said-easy = { $name } goes easy.
app-said-helping = { $name } helps and does not run.
app-said-absent = { $name } is absent.
app-said-everybody = Everybody is here.
app-today-lanes = What that makes of the lanes
app-no-helpers = Nobody helps: the next in line stands fallen hurdles up.
app-job = { $name } stands hurdles up in { $count ->
    [one] lane { $lanes }
   *[other] lanes { $lanes }
}.
app-wishes-title = With whom and where
app-wishes-none = No wishes: everybody runs where the gap fits best.
app-add-wish = Add a wish
app-wish-title = A wish
app-wish-what = What is wanted
app-wish-kind-apart = Two apart
app-wish-kind-together = Two together
app-wish-kind-only = Only one lane
app-wish-kind-never = Never a lane
app-wish-first = Child
app-wish-second = Other child
app-wish-lane = Lane
app-choose-child = Choose a child
app-wish-one = Choose a child.
app-wish-two = Choose two different children.
app-wish-together = { $first } and { $second } share a lane.
app-wish-apart = { $first } and { $second } run in different lanes.
app-wish-only = { $name } runs in lane { $lane } only.
app-wish-never = { $name } does not run in lane { $lane }.
app-said-wish-back = Taken back: { $wish }
app-next-kit = Next: kit and space

## Kit and space
app-kit-title = Kit and space
app-hurdles-title = Hurdles
app-kit-assumed = I take a usual bag for now. Say what you have.
app-hurdles-of = Hurdles of { $height }
app-hurdle-total = { $count ->
    [0] No hurdles.
    [one] One hurdle.
   *[other] { $count } hurdles.
}
app-lines-free = Lines on the floor need not be counted: chalk or tape is always to be had.
app-hurdle-width = Width of a hurdle
app-base-depth = Depth of its base
app-shoe-length = Your shoe, if you pace marks out
app-shoe-why = With it, every mark is also given in shoe lengths.
app-said-hurdles = { $count } hurdles of { $height }.
app-said-kit = The hurdles are saved.
app-floor-title = Floor
app-floor-missing = Say how big the floor is. Then I can tell whether the lanes fit with their stopping room.
app-floor-presets = Usual sizes
app-floor-hall = Sports hall
app-floor-small-hall = Small hall
app-floor-track = Track straight
app-floor-grass = Grass
app-floor-size = { $length } × { $width }
app-floor-length = Length, running direction
app-floor-width = Width
app-floor-direction = running direction
app-walls = Walls
app-wall-start = behind the start
app-wall-finish = beyond the finish
app-wall-left = left
app-wall-right = right
app-wall-closed = wall
app-wall-open = open
app-surface = What it is made of
app-surface-hall = Hall floor
app-surface-track = Track or turf
app-surface-grass = Dry grass
app-surface-slippery = Slippery
app-surface-hard = Asphalt
app-said-floor = The floor is { $length } × { $width }.
app-next-lanes = Next: the lanes
app-stand-in-title = Does a stand-in fall easily?
app-stand-in-how = For anything that is not a tipping hurdle. Stand it on your floor and push it at the top, where a foot would hit it.
app-push-label = One finger or a scale
app-push-easily = One finger moves it
app-push-hand = It takes a hand
app-push-hardly = It hardly moves
app-push-newtons = Spring scale, newtons
app-push-grams = Scale, grams
app-stand-in-scale = The scale shows
app-stand-in-reading = Write what the scale shows when it begins to move.
app-stand-in-mass = How heavy it is
app-stand-in-figures = Full figures
app-stand-in-shape-why = With mass, height and depth I can work out how hard it hits a foot.
app-stand-in-height = Height where the foot hits
app-stand-in-depth = Depth, front to back
app-stand-in-centre = Height of its middle of mass
app-figure-tip = Push that tips it: { $value }
app-figure-slide = Push that slides it: { $value }
app-figure-energy = Work to tip it: { $value } J
app-figure-mass = Mass that a foot meets: { $value } kg
app-cautions = Take care

## Lanes
app-lanes-title = Lanes
app-lanes-no-class = There is no class list yet. With one, the lanes are there at once.
app-asked = What is asked
app-asked-drill = drill
app-asked-effort = effort
app-asked-effort-walk = walking
app-asked-lanes = lanes
app-asked-lanes-of = { $count } (of { $possible } possible)
app-asked-sprint = exit sprint
app-asked-hurdles = hurdles
app-asked-floor = floor
app-asked-no-floor = not entered
app-measure = Measure a step
app-print = Print the plan
app-fits = It fits, with { $spare } of length to spare.
app-fits-not = It does not fit. The stopping room stays; one of these would help:
app-fits-no-floor = Say how big the floor is, and I tell whether this fits.
app-do-way = Do this
app-set-out = Set the lanes out
app-gap = gap
app-tape = tape from the start line:
app-strip = The whole lane to scale
app-gaps-title = Each child's own gap
app-col-child = child
app-col-gap = own gap, likely range
app-col-lane = lane
app-col-fit = fit
app-outside = outside
app-wide = wide
app-close-word = close
app-printing = On paper
app-printing-what = The plan, the strips and a list of marks for each lane, black on white.
app-paper = Paper
app-paper-a4 = A4
app-paper-letter = Letter
app-print-names = Names
app-print-with-names = With names
app-print-without-names = Without names
app-choice-title = Drills, effort, lanes
app-drills-title = Drills
app-drills-how = The first one you choose sets the lanes; the others must fit on the same marks.
app-main-drill = sets the lanes
app-one-drill = One drill must stay. Choose another one first.
app-said-drill-in = { $drill } is in.
app-said-drill-out = { $drill } is out.
app-effort = Effort
app-effort-easy = Easy
app-effort-learning = Learning
app-effort-brisk = Brisk
app-effort-fast = Fast
app-effort-full = As fast as I can
app-said-effort = Effort is { $effort } of top speed.
app-lanes-wanted = How many lanes
app-lanes-auto = As suits
app-said-lanes = { $count ->
    [one] One lane.
   *[other] { $count } lanes.
}
app-said-lanes-auto = As many lanes as suit.
app-sprint = Sprint after the last hurdle
app-sprint-none = None
app-said-sprint = { $room } of sprint after the last hurdle.
app-said-sprint-none = No sprint after the last hurdle.
app-height = Height of the hurdles
app-height-auto = What most of them have
app-floor-lines = Floor lines
app-said-height = Hurdles of { $height }.
app-said-height-auto = The height that most hurdles have.
app-said-floor-lines = Floor lines instead of hurdles.
app-adults = Adults who watch
app-said-adults = { $count ->
    [one] One adult watches.
   *[other] { $count } adults watch.
}
app-full-length = Back to full run-up and all hurdles
app-said-full-length = Full run-up and all hurdles.

## Measuring steps
app-measure-title = Measure a step
app-measure-how = How
app-measure-try = Try a gap
app-measure-tape = Tape
app-measure-run = Counted run
app-measure-child = Who
app-measure-who = Choose the child first.
app-try-how = { $drill }: let each child run through one gap and tap how it looked. Two gaps in three minutes are enough for a class.
app-gap-standing = The gap that stands now
app-too-close = too close
app-right = right
app-too-far = too far
app-said-too-close = { $gap } was too close for { $name }.
app-said-right = { $gap } was right for { $name }.
app-said-too-far = { $gap } was too far for { $name }.
app-said-verdict-back = { $name } at { $gap }: taken back.
app-steps-counted = Steps counted
app-tape-how = Let the child run without hurdles at learning effort. Lay the tape from toe to toe over some steps.
app-tape-how-walk = Let the child walk without hurdles. Lay the tape from toe to toe over some steps.
app-tape-distance = From first toe to last toe
app-run-how = A free run over a known distance. Count the steps; a time makes it better.
app-run-distance = Distance
app-run-time = Time
app-run-time-hint = s, if taken
app-time-range = This time does not fit the distance. Check seconds and distance.
app-run-effort = How it was run
app-said-steps = The steps of { $name } are saved.
app-said-own-gap = The own gap of { $name } is { $gap }: lane { $lane }.

## Before the first run
app-conditions-title = Floor, heat, thunder
app-thunder-now = It thundered now
app-thunder-mistake = It did not: take it back
app-heat-air = Air temperature
app-heat-humidity = Humidity
app-heat-wbgt = WBGT from a meter, if there is one
app-hint-celsius = °C
app-hint-fahrenheit = °F
app-hint-percent = %
app-heat-numbers = Type two numbers, for example 29 and 60.
app-heat-range = { $provided } cannot be; allowed is { $allowed }.
