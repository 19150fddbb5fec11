# What the plan, the floor and the stand-in test have to say.

## Does a stand-in fall easily
topple-falls-easily = It falls easily.
topple-too-firm = Do not use it: it does not give way easily enough.
topple-not-enough-known = Not enough is known yet.
topple-push-tips = A push of { $force } at the height of the foot tips it over.
topple-push-slides = A push of { $force } at the height of the foot slides it away.
topple-push-moves = It gives way at a push of { $force }.
topple-push-bar = The bar comes off at a push of { $force }.
topple-push-high = It takes a push of { $force } at the height of the foot; { $limit } is the most.
topple-bar-held = The lip holds the bar however hard the foot pushes. Rest the bar on flat tops or on the far edge.
topple-finger-easily = One finger at the top moves it easily.
topple-finger-hand = It takes a hand to move it; a foot that catches on it would stop.
topple-finger-hardly = It hardly moves; a foot that catches on it would stop.
topple-mass-low = What moves weighs { $mass } kg: light enough.
topple-mass-high = What moves weighs { $mass } kg; { $limit } kg is the most.
topple-hits-soft = The foot feels { $mass } kg of it: little enough.
topple-hits-hard = The foot feels { $mass } kg of it at once, so it hits hard; { $limit } kg is the most.
topple-slides = It may slide before it tips: see that it does not stay under the feet. A bar that drops off is better.
topple-blows-over = Outdoors the wind may blow it over.
topple-weigh = Weigh it: a heavy thing can tip at a small push and still hit hard.
topple-shape = Measure its height and depth: at this mass they decide how hard it hits.
topple-shape-usual = This holds for things that are no deeper than high and not heavy at the top.
topple-disagree = The figures say { $force }, which is far from what you tried. Check the mass and the measures, and whether the base is held.
topple-numbers = These numbers fit no stand-in. Check the units: kilograms and metres, or grams and newtons for the push.
topple-caution-try = Try it on your own floor before the children run: push it at the top from every side they may come from.
topple-caution-parts = Nothing with sharp or rigid parts, nothing filled with sand or water, nothing a foot can go through and be caught in. The bar rests and is never tied.
topple-caution-rules = The rules of your school and your sports body come first.

## The figures behind it
topple-figures = In numbers
topple-figure-tips = tips at { $value }
topple-figure-slides = slides at { $value }
topple-figure-bar = the bar comes off at { $value }
topple-figure-work = { $value } J to tip it
topple-figure-mass = the foot feels { $value } kg
topple-before = Before children run:

## Does it fit
plan-too-long = The floor is { $by } too short for these lanes with their stopping room.
plan-too-wide = The floor is { $by } too narrow for these lanes.
plan-no-remedy = Nothing but a larger floor or a walking drill helps here. The stopping room stays as it is.
plan-stand-no-room = As the lanes stand, the floor has not the room to stop that today's children need. Let nobody run fast in them, or lay the lanes anew.
plan-hard-floor = On asphalt or concrete only walk. Take a walking drill or another floor.
plan-slippery-floor = The floor is slippery: the stopping room is a third longer. Leave out sprints and turns, and stop if someone slips.
plan-tip-both-ways = Side-steps go both ways: use hurdles that tip to either side, and let neighbours turn one after the other, never towards each other.
plan-run-to-open-end = There is a wall at the finish and none at the start. Run the other way, towards the open end, if you can.
plan-caution = Keep the stopping room clear of bags, benches and children who wait. Hurdles stand so that they tip in running direction. The rules of your school come first.
plan-caution-both-ways = Keep the stopping room at both ends clear of bags, benches and children who wait. Hurdles stand so that they tip either way. The rules of your school come first.

## What would make it fit
plan-change-none = Change nothing.
plan-change-and = { $first } { $second }
plan-change-sprint = Shorten the sprint after the last hurdle by { $by }, to { $to }.
plan-change-no-sprint = Leave out the sprint after the last hurdle.
plan-change-direction = Run across the floor instead of along it.
plan-change-hurdles = Take { $by ->
    [one] one hurdle
   *[other] { $by } hurdles
} out of each lane, so that { $to } stand.
plan-change-run-up = Shorten the run-up by { $by ->
    [one] one step
   *[other] { $by } steps
}, to { $to }.
plan-change-lanes = Set out { $to ->
    [one] one lane
   *[other] { $to } lanes
} only.
plan-change-effort = Run at { $to } effort.
plan-change-drill = Do the { $instead } instead of the { $drill }.
plan-change-leave-out = { $drill }: leave it for a longer floor.

## Hurdles and their heights
plan-high-for-most = { $height } is high for { $count } children's legs. Take lower hurdles, or walk over them first.
plan-high-lower = { $height } is high for the legs of { $names } in lane { $lane }. Put { $suits } hurdles beside for { $count ->
    [one] this child
   *[other] them
}.
plan-high-line = { $height } is high for the legs of { $names } in lane { $lane }. Lay floor lines beside for { $count ->
    [one] this child
   *[other] them
}, or lower the bars.
plan-heights-ran-out = { $count ->
    [one] Lane { $lanes } has
   *[other] Lanes { $lanes } have
} hurdles of { $given }, because there are not enough of { $wanted }.
plan-heights-lines = { $count ->
    [one] Lane { $lanes } has
   *[other] Lanes { $lanes } have
} floor lines, because there are not enough hurdles of { $wanted }.
plan-fewer-hurdles = { $count ->
    [one] Lane { $lanes } has
   *[other] Lanes { $lanes } have
} fewer hurdles than the bag would give, so that all hurdles of a lane have one height.
plan-high-for-drill = { $drill }: { $height } is higher than the drill is meant for.
plan-no-hurdles = There are no hurdles in the bag: the lanes are floor lines.
plan-few-hurdles = { $count ->
    [one] There is one hurdle
   *[other] There are { $count } hurdles
} in the bag; a rhythm needs four or more. Draw floor lines for the rest.

## Lanes and wishes
plan-lanes-hurdles = { $lanes ->
    [one] One lane
   *[other] { $lanes } lanes
} instead of { $wanted }: with fewer than { $least } hurdles a lane has no rhythm.
plan-lanes-width = { $lanes ->
    [one] One lane
   *[other] { $lanes } lanes
} instead of { $wanted }: the floor is too narrow for more.
plan-lanes-children = { $lanes ->
    [one] One lane
   *[other] { $lanes } lanes
} instead of { $wanted }: there are no more children.
plan-lanes-unwatched = { $adults ->
    [one] One adult watches
   *[other] { $adults } adults watch
} { $lanes } lanes; up to { $each } each can be watched well.
plan-wish-lost = { $names } was to run in lane { $lane }, which is not there today.
plan-wish-only = { $first } only in lane { $lane }
plan-wish-never = { $first } not in lane { $lane }
plan-wish-together = { $first } and { $second } in one lane
plan-wish-apart = { $first } and { $second } in different lanes
plan-stand-wish = Not met as the lanes stand: { $wish }.

## Who is outside
plan-outside-far = { $drill }, lane { $lane }: { $gap } is too far for { $names } (own gap { $own }). { $remedy }
plan-outside-close = { $drill }, lane { $lane }: { $gap } is too close for { $names } (own gap { $own }). { $remedy }
plan-outside-guess = Measure { $count ->
    [one] the step
   *[other] their steps
} first, for this is a guess; or lay floor lines { $own } apart beside the lane.
plan-outside-guess-other = Lane { $other } would suit; or measure { $count ->
    [one] the step
   *[other] their steps
} first, for this is a guess.
plan-outside-sure = Lay floor lines { $own } apart beside the lane.
plan-outside-sure-other = Lane { $other } would suit; or lay floor lines { $own } apart beside the lane.
plan-outside-more = { $count } more are outside what a drill tolerates: see the list of children.
plan-from-to = { $low } to { $high }

## One gap for drills that need two
plan-one-gap = One gap is laid for drills that need different ones: { $laid }. { $right } Own gaps: { $own }. Re-lay the hurdles between the drills, or choose another drill.
plan-one-gap-right = It is right for: { $drills }.
plan-one-gap-none = It is right for none of them.
plan-one-gap-lane = { $lane } { $gap }
plan-one-gap-own = { $drill } ({ $gaps })
plan-one-gap-drill = { $drill }
plan-list = { $first }, { $second }
plan-list-drills = { $first }; { $second }

## What was asked
plan-no-sprint-after = No sprint follows a walk or a side-step: it is left out.
plan-effort-high = { $drill } is meant for at most { $most } effort, not { $effort }: the lanes are laid out for { $most }.
plan-easy = { $names } { $count ->
    [one] goes
   *[other] go
} easy today: no sprint and no hard turns for { $count ->
    [one] this child
   *[other] them
}.

plan-guessed = Nobody has measured { $names }: the { $count ->
    [one] gap is
   *[other] gaps are
} guessed from age or from the class. Measure { $count ->
    [one] this child
   *[other] them
}, or try two gaps at the start.

## Why there is no plan
plan-error-no-runners = Nobody runs today. Mark at least one child as present.
plan-error-no-drill = None of these drills has hurdles. Choose at least one that has.
plan-error-range = { $field } is { $provided }; allowed is { $allowed }.
plan-error-same-id = Two children have the id { $id }. Give one of them another.
plan-error-wishes = { $count } wishes about lanes and pairs cannot all be met. Take one of them back:
plan-error-lanes = The lanes cannot be arranged: { $reason }.

## The plan as text
plan-heading = { $lanes ->
    [one] One lane
   *[other] { $lanes } lanes
} for { $children ->
    [one] one child
   *[other] { $children } children
}: { $drills }, at { $effort } effort.
plan-heading-walk = { $lanes ->
    [one] One lane
   *[other] { $lanes } lanes
} for { $children ->
    [one] one child
   *[other] { $children } children
}: { $drills }.
plan-drill-effort = { $drill } at { $effort } effort
plan-fits = It fits on { $length } by { $width }: { $needed-length } by { $needed-width } are needed, stopping room included.
plan-does-not-fit = It does not fit on { $length } by { $width }: { $needed-length } by { $needed-width } are needed, stopping room included.
plan-make-it-fit = { $count ->
    [one] This makes it fit:
   *[other] Any one of these makes it fit:
}
plan-lane = Lane { $lane }: { $hurdles }, { $length } long in all
plan-lane-hurdles = { $hurdles ->
    [one] one hurdle
   *[other] { $hurdles } hurdles
} of { $height }
plan-lane-lines = { $hurdles ->
    [one] one floor line
   *[other] { $hurdles } floor lines
}
plan-lane-place = start line { $start } from the start end, middle of the lane { $middle } from the left side
plan-lane-wait = behind the start line, in twos, back to { $back }
plan-lane-wait-both-ways = { $clear } before the start line stay clear for stopping; wait behind, back to { $back }
plan-lane-start = 0 on the tape, and a second mark at { $second } so that either leg can lead
plan-lane-one-start = 0 on the tape
plan-lane-sprint = sprint on to { $exit }, stopping room to { $stop }, clear to { $clear }
plan-lane-gap = { $gap } ({ $drills })
plan-lane-stop = run on to { $exit }, stopping room to { $stop }, clear to { $clear }
plan-row-place = place
plan-row-wait = wait
plan-row-start = start
plan-row-gap = gap
plan-row-marks = marks
plan-row-stop = finish
plan-row-runs = runs
plan-floor-lines = floor line
plan-outside = { $fit }, outside
plan-column-name = child
plan-column-own-gap = own gap
plan-column-likely = likely
plan-column-lane = lane
plan-column-fit = fit
plan-column-hurdle = hurdle
plan-column-basis = rests on
plan-look-at = Look at these:
