# The unit: several lessons ahead.

## One lesson
unit-lesson = Lesson { $number }, { $date }
unit-check = { $days } days since the last lesson: a check first.
unit-block = { $minutes } min: { $drill }
unit-block-lanes =
    { $minutes } min: { $drill } in { $count ->
        [one] lane
       *[other] lanes
    } { $lanes }
unit-runs = About { $runs } runs and { $contacts } contacts for each child.
unit-clean = { $drill }: settled for { $mean } of the children after it, between { $low } and { $high } in four of five cases.
unit-exit-sprint =
    { $children ->
        [one] One child is expected to leave 90 of 100 hurdles standing at the { $drill }: an exit sprint or more speed, when that shows.
       *[other] { $children } children are expected to leave 90 of 100 hurdles standing at the { $drill }: an exit sprint or more speed, when that shows.
    }

## One child
unit-who =
    { $count ->
        [one] { $names }
       *[other] { $count } children ({ $names })
    }
unit-all-open = Every drill is open: { $who }.
unit-opens-in = { $drill }, open in lesson { $lesson }: { $who }.
unit-opens-between = { $drill }, open between lessons { $earliest } and { $latest }: { $who }.
unit-opens-from = { $drill }, open in lesson { $earliest } at the earliest, within these lessons in { $share } of the cases: { $who }.
unit-opens-later = { $drill }, open after these lessons, within them in { $share } of the cases: { $who }.

## What it rests on
unit-note-own-rate = From { $lessons } lessons of this class: about { $runs } runs take a child from 60 to 88 % (between { $low } and { $high }).
unit-note-usual-rate = Too few lessons to say how fast this class learns: about { $runs } runs from 60 to 88 % are assumed (between { $low } and { $high }).
unit-note-sketch = The lessons after the next one are sketches. Plan again after every lesson.
unit-note-technique = Falls are forecast, technique is not: look before a child moves on.
unit-note-rests-on = That success rates set the pace of learning is shown for other learners; for children over hurdles it is an assumption.

## What is wrong
unit-error-lesson = Lesson { $number }: { $why }
unit-error-lessons =
    { $count ->
        [one] One lesson
       *[other] { $count } lessons
    }: a unit has 1 to 12.
unit-error-order = { $after } does not come after { $before }. Give the days of the lessons in order.
unit-error-draws = { $count } samples of the class: allowed are 20 to 2000.
