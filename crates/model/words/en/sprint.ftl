# Speeds, speed curves, and whether a change is real.

## What measured a time
sprint-timer-gates = light beams
sprint-timer-video = film
sprint-timer-tap = tap
sprint-timer-stopwatch = stopwatch

## Speeds
sprint-speed = { $speed } m/s ({ $low } to { $high })
sprint-speed-open = { $speed } m/s ({ $low } or more: too short a stretch for this timing)
sprint-fastest = Fastest from { $from } to { $to }: { $speed }.
sprint-curve = Speed curve over { $marks } marks: nears { $v } m/s ({ $v_low } to { $v_high }), time constant { $tau } s ({ $tau_low } to { $tau_high }). The times lie { $rse } s from it.

## Why there is no speed curve
sprint-refused-hurdled = Hurdle steps are no free sprint: no speed curve from a hurdled run.
sprint-refused-hand = Times that err by { $seconds } s carry speeds, not a speed curve.
sprint-refused-too-fast = From { $from } to { $to } the times make { $speed } m/s: nobody runs faster than { $most } m/s.
sprint-refused-marks = { $marks ->
        [one] One mark in the acceleration does not make a speed curve.
       *[other] { $marks } marks in the acceleration do not make a speed curve.
    }
sprint-refused-free = Times that err by { $seconds } s cannot tell the first movement from the acceleration.
sprint-refused-tau-short = No person speeds up that fast: the clock seems to have started late.
sprint-refused-tau-long = No person speeds up that slowly: the clock seems to have started early.
sprint-refused-tau-open = These marks and times leave the acceleration open.

## What would allow one
sprint-allows-flat = Time a run without hurdles.
sprint-allows-gates = Use light beams or film, with an error of at most { $seconds } s.
sprint-allows-right-times = Check the times, and where the marks stand.
sprint-allows-marks = Time at least { $needed } marks while the runner still gets faster.
sprint-allows-declared = Say what started the clock, or time to { $seconds } s or better.
sprint-allows-start = Check what started the clock, and the first marks.
sprint-allows-more = Time more marks in the first 20 m, or time them more finely.

## What was assumed or left out
sprint-note-reaction = The reaction to the gun was taken as { $seconds } s; give the measured one if there is one.
sprint-note-photocell = The runner was taken to move { $seconds } s before the beam broke.
sprint-note-free = The first movement was fitted as well: it is no reaction time.
sprint-note-slower = Marks beyond { $to_m } are left out of the curve: the runner got slower.
sprint-note-misfit = The times lie { $seconds } s from the curve, more than their timing explains. Check the marks and the start.

## Cells of a table of times that cannot be read
splits-no-column = the column is missing; the first line names distance_m and time_s
splits-many-cells = the row has { $cells } cells, the first line { $width }
splits-many-cells-comma = the row has { $cells } cells, the first line { $width }; a decimal comma? Write 2.5, or put ; between the cells
splits-no-name = the name is missing; every row names its runner
splits-range = { $cell } is out of range; allowed is above 0 up to { $most } { $unit }
splits-no-number = the number is missing; give it in { $unit }
splits-not-a-number = “{ $cell }” is no number; write it like 12.5, in { $unit }
splits-start = { $time } s at 0 m; leave the start out of the table and declare it
splits-no-time = 0 s at { $distance } m; allowed is above 0
splits-mark-twice = { $distance } m stands in line { $line } already; one time a mark
splits-not-later = { $time } s at { $distance } m is not later than { $before } s at { $before_distance } m (line { $line })
splits-mistakes = `{ $path }` has mistakes
splits-more = … and { $count } more
splits-remedy = Nothing was computed. Mend them and try again (docs/formats/sprint.md).
splits-none = `{ $path }` holds no time
splits-none-remedy = Give one row a mark: distance_m,time_s (docs/formats/sprint.md).
splits-utf8-remedy = Save the file as UTF-8 text (docs/formats/sprint.md).

## Change
change-error-own = From repeats of { $children } children of this class.
change-error-default = From documented defaults: this class has too few repeats yet.
change-gain = A gain beyond one run and the next.
change-loss = A loss beyond one run and the next.
change-not-told = No more than one run and the next differ by.
