# Recording at the lane: single runs, a whole lane at once, runs from paper.

## The frame
trackside-tab = Trackside
trackside-title = Trackside
trackside-part = What to record
trackside-part-runs = Run by run
trackside-part-sweep = Whole lane
trackside-part-paper = From paper
trackside-empty = There is nobody to watch yet. Make a class first.
trackside-no-drill = None of the chosen drills has hurdles. Choose one that has.
trackside-lane-read = Read: not again today
trackside-no-children = Nobody runs in this lane today.
trackside-lanes = Lane
trackside-lane = Lane { $lane }

## What is watched
trackside-setup = Drill and what is watched
trackside-setup-line = { $gap } · { $watched }
trackside-setup-line-sprint = { $gap } · { $watched } · exit sprint
trackside-drill = Drill
trackside-drill-gap = { $drill } · { $gap }
trackside-watched = What you watch
trackside-watched-knocks = Knocks only
trackside-watched-technique = Technique too
trackside-watching-knocks = knocks only
trackside-watching-technique = technique too
trackside-sprint = Exit sprint
trackside-sprint-off = Off
trackside-sprint-on = On
trackside-not-watched = Technique is not watched: only what falls is saved.
trackside-watch-technique = Watch technique

## Who runs
trackside-run-number = run { $number }
trackside-lead = leads with
trackside-left = Left
trackside-right = Right
trackside-then = Then
trackside-somebody = Somebody else
trackside-watch-next = Watch next: { $name }
trackside-watch-now = Watch { $name } closely now
trackside-rest = Other lanes
trackside-change-child = Choose another child

## The strip
trackside-strip = Hurdles of the lane
trackside-finish = finish
trackside-finish-stands = Finish · stands since { $time }
trackside-start = start
trackside-row-stands = Hurdle { $number } stands
trackside-row-down = Hurdle { $number } is down
trackside-row-was-down = Hurdle { $number } lay there before
trackside-row-odd = { $row }, falls more easily than the others
trackside-down = down
trackside-was-down = was down
trackside-still-lying = { $count ->
    [one] Hurdle { $numbers } still lies
   *[other] Hurdles { $numbers } still lie
}
trackside-still-lying-why = From the run before: nobody stood it up

## Faults
trackside-faults = Faults
trackside-key = key
trackside-more = More …
trackside-fewer = Fewer

## The one button
trackside-clean = Clean
trackside-clean-lay = Clean · { $lay } lay before
trackside-save-down = Save · { $down } down
trackside-save-faults = Save · { $faults ->
    [one] 1 fault
   *[other] { $faults } faults
}
trackside-save-both = Save · { $down } down, { $faults ->
    [one] 1 fault
   *[other] { $faults } faults
}
trackside-said-run = { $name }, run { $number }: { $what }.
trackside-said-and-here = { $said } { $name } is here now.
trackside-short-clean = clean
trackside-short-stood = hurdles clean
trackside-short-clean-lay = clean, { $lay } lay before
trackside-short-down = { $down } down ({ $numbers })
trackside-short-technique = { $first }; technique: { $faults }
trackside-short-and = { $first }, { $fault }
trackside-note-first = Saved runs and what they mean show up here.

## Runs so far
trackside-last = Runs in this lane today
trackside-last-none = No run yet today.
trackside-corrected = Corrected. First recorded: { $what }.
trackside-first-recorded = First recorded: { $what }.
trackside-correct = Correct
trackside-correcting = Correct { $name }’s run of { $time }
trackside-correct-who = Whose run was it?
trackside-save-correction = Save the correction
trackside-no-such-run = There was no such run
trackside-cancel = Leave it
trackside-said-corrected = { $name }’s run corrected: { $what }.
trackside-said-no-run = { $name }’s run of { $time } no longer counts.
trackside-count-again = Count it again
trackside-said-counts-again = { $name }’s run of { $time } counts again.
trackside-not-counted = Taken out: there was no such run. It was recorded as { $what }.
trackside-all-runs = Show all { $count }

## The whole lane
trackside-sweep-how = One tap: got it. Two: not yet. Three: not seen.
trackside-sweep-saved = Saved today: { $seen } of { $count }.
trackside-sweep-all = Everybody got it
trackside-sweep-none = Nobody seen
trackside-got-it = Got it
trackside-not-yet = Not yet
trackside-not-seen = Not seen
trackside-sweep-save = { $seen ->
    [0] Nobody tapped yet
    [one] Save one child
   *[other] Save { $seen } children
}
trackside-said-sweep = Lane { $lane }: { $got } got it, { $not } not yet.

## From paper
trackside-paper-how = One number per fallen hurdle, 0 for a clean run, a space between runs: 0 34 5 is three runs. A * or / does for a space.
trackside-paper-how-commas = One number per fallen hurdle, 0 for a clean run, a space between runs, a comma within one: 0 3,10 5 is three runs. A * or / does for a space.
trackside-paper-preview = { $count ->
    [one] One run: { $runs }
   *[other] { $count } runs: { $runs }
}
trackside-paper-clean = clean
trackside-paper-save = { $count ->
    [0] Nothing typed in yet
    [one] Save one run
   *[other] Save { $count } runs
}
trackside-paper-bad = { $count ->
    [one] One line needs a change before anything is saved.
   *[other] { $count } lines need a change before anything is saved.
}
trackside-said-paper = Lane { $lane }: { $count ->
    [one] one run
   *[other] { $count } runs
} from paper.
trackside-paper-range = “{ $entry }” names hurdle { $number }; this lane has hurdles 1 to { $hurdles }.
trackside-paper-zero = “{ $entry }” mixes 0 with a hurdle. Write 0 by itself for a clean run.
trackside-paper-twice = “{ $entry }” names hurdle { $number } twice. Write it once, or put a space between two runs.
trackside-paper-digits = “{ $entry }” is not a run. Write the numbers of the fallen hurdles, or 0.
trackside-paper-commas = “{ $entry }”: put commas between the hurdles, as in 3,10.
trackside-paper-too-many = More than { $most } runs in one line: check it, and save the first part first.

## Lanes that stand
stand-since = Lanes stand since { $time }: { $lanes }.
stand-anew = Lay the lanes anew
stand-anew-lanes = Laid anew they would be: { $lanes }.
stand-said-anew = The lanes are laid anew: set the hurdles by today’s plan.
stand-late = { $name } runs in lane { $lane }, { $gap }.
stand-late-and = { $said } { $wish }
stand-late-several = { $count } came late and run at the end of their lanes: { $who }.
