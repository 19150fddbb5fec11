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
