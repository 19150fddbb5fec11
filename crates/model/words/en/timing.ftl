# Times and bouts: what is refused, and the screens on Trackside.

## What does not fit
timing-marks-none = There is no mark yet. Add at least one.
timing-marks-many = More than { $most } marks: nobody can tap them all. Take some out.
timing-mark-range = Mark { $number } must lie behind the start and at most { $most } from it.
timing-mark-order = Mark { $number } must lie at { $least } or farther: marks stand in the order in which they are passed.
timing-times-none = There is no time in it.
timing-time-range = { $time } is not a time of a run here; allowed is up to { $most }.
timing-time-order = { $time } stands behind { $before }: times from the start rise from mark to mark.
timing-error-range = A timing error of { $error } s makes no sense; write 0 to 2.
timing-no-such-mark = There is no mark { $number }; the stretch has { $marks }.
bout-seconds = A bout of { $seconds } s: allowed is above 0 up to { $most }.
bout-runners = A bout has one child or two, not { $count }.
bout-same-child = The same child stands on both sides. Choose another.
bout-down = There is no hurdle { $number }; hurdles count from 1 to { $most }.
bout-one-step = { $one } one-step turns are more than the { $turns } turns.

## From a watch or gates
timing-typed-line = Line { $line }: { $says }
timing-typed-nobody = “{ $name }” is not in the class. Write the name as it stands in the list.
timing-typed-two = Two children are called “{ $name }”. Make their names differ in the class list first.
timing-typed-time = “{ $entry }” is not a time. Write seconds, such as 4.12.
timing-typed-many = { $times } times, but there are { $marks } marks. Write one time per mark, or only the last.

## Times on Trackside
trackside-what = What you do
trackside-what-runs = Runs
trackside-what-times = Times
trackside-what-turns = Turns
timing-whole-class = All
timing-setup = Marks and phones
timing-line = { $marks } · { $role }
timing-line-mark = mark { $number } at { $at }
timing-role = This phone
timing-role-both = one phone for all
timing-role-starts = I start
timing-role-mark = I stand at { $at }
timing-marks = Marks
timing-marks-how = Metres from the start line. Say of each stretch whether it goes over hurdles: such times are never read as a flat sprint.
timing-mark-at = Metres from the start
timing-ground-flat = flat
timing-ground-hurdled = hurdles
timing-mark-remove = Take this mark out
timing-mark-add = One more mark
timing-marks-save = Save the marks
timing-said-marks = The marks stand.
timing-said-moved = The marks stand from now on. Earlier times keep theirs.
timing-said-wrong = The marks are put right, and today’s times with them.
timing-marks-asked = Times were taken at these marks. Which is it?
timing-marks-wrong = They lay like this all along
timing-marks-moved = They were moved just now
timing-short-exit = The last { $exit } are too short for an exit speed by hand: only gates tell it there. { $how }
timing-no-exit = No second mark: behind the last hurdle there are not { $least } to run on, so no exit speed by hand; only gates tell one on less. { $how }
timing-exit-ask-lanes = Or ask for an exit sprint under Lanes: the room to stop moves along.
timing-exit-ask-coach = Or ask the coach for lanes with an exit sprint.
timing-start-kind = The time begins with
timing-start-first-movement = first movement
timing-start-gun = clap or call
timing-start-flying = passing the line at speed
timing-start-photocell = gate at the line
timing-run-up = Run-up before the line
timing-run-up-how = Metres from the first step to the start line. Leave it empty if you did not measure it.
timing-run-up-range = A run-up is more than nothing and at most { $most }.
timing-line-run-up = { $run_up } run-up
timing-phones-asking = Comparing this phone’s clock with the server …
timing-phones-no-answer = The phones cannot see each other: the server does not answer. Starts and marks on two phones give no time until both have reached it. Time with one phone meanwhile.
timing-phones-alone = This phone’s clock is known within ± { $error } ms. The other phone has not shown up: open Times on it and choose its place.
timing-phones-agree = The two phones see each other. Their clocks agree within ± { $error } ms.
timing-one-phone = Time with one phone
timing-nameless = Who was it? The moment is kept.
timing-nobody = Nobody: forget it
timing-slip-fast = { $name } at { $at } after { $time }: nobody sprints so fast. Not kept yet.
timing-slip-slow = { $name } at { $at } after { $time }: nobody walks so slowly. Not kept yet.
timing-slip-keep = It counts: keep it
timing-slip-drop = A slip: drop it
timing-way = On the way
timing-way-none = Nobody. Press Start as the child moves.
timing-way-none-mark = Nobody started yet that this phone knows of. Press all the same when somebody passes, and name the child after.
timing-next-at = at { $at }
timing-gone = { $seconds } s
timing-verb-mark = { $name } at { $at }
timing-verb-nobody = Nobody on the way
timing-verb-nameless = Somebody passes
timing-verb-start = Start { $name }
timing-said-start = { $name } started.
timing-said-mark = { $name } at { $at }: { $time }.
timing-said-loose = Kept for { $name }. The time follows when the start arrives.
timing-said-swapped = { $first } and { $second } exchanged.
timing-said-child = It was { $name }’s run.
timing-said-none = { $name }’s time of { $time } no longer counts.
timing-time = { $time } ± { $error }
timing-at = { $at } { $time }
timing-clocks-not-compared = no time yet: the clocks of the two phones were not compared
timing-before-start = no time: pressed before the start
timing-method-tap = one phone
timing-method-second-phone = two phones, clocks ± { $error } ms
timing-method-watch = stopwatch
timing-method-gates = gates
timing-note-first = Each time shows up here once it is saved.
timing-today = Times today
timing-today-none = No time yet today.
timing-no-mark = started, no mark
timing-corrected = corrected
timing-correct = Correct
timing-correcting = Correct { $name }’s time of { $time }
timing-swap = Somebody else passed { $at }. Exchange with
timing-other-child = Another child ran
timing-loose = { $name } passed { $at }; the start is not known yet.
timing-error-how = ± holds in nine times of ten. Presses by hand scatter; a difference smaller than that says nothing.
timing-typed = From a watch or gates
timing-typed-how = One line per run: name, then the time from the start to each mark, such as Ada, { $sample }. One time alone is the last mark’s.
timing-typed-method = Measured with
timing-typed-save = { $count ->
    [0] Nothing typed in yet
    [one] Save one run
   *[other] Save { $count } runs
}
timing-said-typed = { $count ->
    [one] One run
   *[other] { $count } runs
} typed in.

## Turns on Trackside
turns-floor = { $places ->
    [one] One place
   *[other] { $places } places
} side by side, { $hurdles } hurdles at each, gap { $gap }
turns-what = Side-steps to and fro between the ends, turn on the call; hurdles { $gap } apart.
turns-floor-marks = Hurdles from the start mark: { $marks }
turns-floor-middles = Middles of the places from the left edge: { $middles }
turns-floor-room = Each place is { $length } long, { $clear } free beyond each end.
turns-facing = All look to the same side on the way out. Nobody spins round: the side they look to flips at each turn, and so does the leg that leads.
turns-no-floor = Enter the floor under Kit: then the places are laid out here.
turns-settings = How long, who calls, who runs
turns-settings-line = { $length } · { $calls } · { $who }
turns-line-voice = a voice calls
turns-line-tone = a tone calls
turns-line-nobody = nobody calls
turns-length = How long
turns-length-5 = 5 s
turns-length-10 = 10 s
turns-length-30 = 30 s
turns-length-free = free
turns-calls-by = Who calls
turns-calls-voice = voice
turns-calls-tone = tone
turns-calls-nobody = nobody
turns-no-voice = No voice on this device speaks without sending the words away: a tone calls.
turns-who = Who
turns-who-pairs = pairs
turns-who-alone = one by one
turns-rest = { $seconds } s of rest to go
turns-rests = { $name } sits this one out.
turns-go = Go: { $names }
turns-stop = Stop
turns-away = Drop it
turns-save = Save the bout
turns-say-go = Go!
turns-say-turn = Turn!
turns-say-stop = Stop!
turns-call = Turn!
turns-one-step = One step
turns-several = Several
turns-fell = Fell
turns-less = One less
turns-none-asked = { $calls } calls, and no turn is tapped. Did you see none?
turns-none-save = None: save
turns-none-count = Tap them first
turns-over = { $seconds } s, { $calls ->
    [0] no call
    [one] one call
   *[other] { $calls } calls
}. Put the counts right, then save.
turns-down = Hurdles that stayed down
turns-no-such-bout = There was no such bout
turns-said-bout = Bout of { $names } saved.
turns-said-none = The bout no longer counts.
turns-note-first = Each bout shows up here once it is saved.
turns-today = Bouts today
turns-today-none = No bout yet today.
turns-seconds = { $seconds } s
turns-line = { $turns ->
    [one] 1 turn
   *[other] { $turns } turns
}, { $one } in one step, { $falls } down

## Under pressure on Findings
pressed-how = The word beside a name is about the exit sprint: do enough hurdles stay up with it? Ranges hold in nine cases of ten; children stand in the order of the list.
pressed-none = Nothing yet: watch runs with an exit sprint, take times, or save bouts on Trackside.
pressed-holds = Holds
pressed-breaks = Breaks
pressed-open = Not enough seen
pressed-up-to = holds up to { $effort } of top speed
pressed-between = { $low } to { $high }
pressed-what = Seen
pressed-under = Under pressure
pressed-difference = Difference
pressed-verdict = Says
pressed-clean-sprint = Hurdles that stay up, with exit sprint
pressed-rhythm = Without a fault of rhythm, with exit sprint
pressed-evenness = Uneven steps, with exit sprint
pressed-effort = Hurdles that stay up, highest effort against lowest
pressed-effort-col = Effort
pressed-clean = Stay up
pressed-hurdles = Hurdles
pressed-times = Times
pressed-when = When
pressed-time = Time from the start
pressed-exit = Exit speed
pressed-speed-least = at least { $low }: too short a stretch for this timing
pressed-exit-short = { $exit } are too short for a speed by hand
pressed-gain = { $gain } gained since the lesson before, { $low } to { $high }.
pressed-least = With this timing nothing below { $least } can be told.
pressed-cost = The hurdles cost { $cost } over this distance, { $low } to { $high }.
pressed-turns = Turns
pressed-bouts = { $bouts ->
    [one] One bout
   *[other] { $bouts } bouts
}, { $falls ->
    [0] nothing fell
    [one] one hurdle down
   *[other] { $falls } hurdles down
}.
pressed-one-step = { $mean } of { $turns ->
    [one] one turn
   *[other] { $turns } turns
} within one step, { $low } to { $high }.
