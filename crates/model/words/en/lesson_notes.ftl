# Notes on a lesson: how it flows, contacts, weather.

## Flow
flow-moving-half = Children move { $share } of the time; public health agencies ask for at least { $asked }.
flow-moving-less = Children move { $share } of the time only; public health agencies ask for at least { $asked }.
flow-setters-missing = { $starts ->
        [one] At one start
       *[other] At { $starts } starts
    } nobody waits long enough to stand hurdles up: an adult stands in, or let the next child wait until all stand.
flow-help-one-more-lane = Lay one more lane and split lane { $lanes } over two. Moving time { $before } → { $after }, runs of a child in ten minutes { $runs-before } → { $runs-after }.
flow-help-one-hurdle-fewer = Take one hurdle out of lane { $lanes }. Moving time { $before } → { $after }, runs of a child in ten minutes { $runs-before } → { $runs-after }.
flow-help-two-queues = Make two queues at lane { $lanes } and start from them in turn, so that the next child stands ready. Moving time { $before } → { $after }, runs of a child in ten minutes { $runs-before } → { $runs-after }.
flow-help-follow-starts = Start the next child at lane { $lanes } when the one before has passed two thirds of the hurdles, with a setter on each side and where your school allows it. Moving time { $before } → { $after }, runs of a child in ten minutes { $runs-before } → { $runs-after }.
flow-help-jog-back = Jog back at lane { $lanes } instead of walking. Moving time { $before } → { $after }, runs of a child in ten minutes { $runs-before } → { $runs-after }.
flow-help-second-setter = Put a second setter at lane { $lanes }. Moving time { $before } → { $after }, runs of a child in ten minutes { $runs-before } → { $runs-after }.

## Contacts
contacts-many-jumps-new = { $child } made { $count } jumps today, and reviews of youth jump training start with 50 to { $limit } a session (Michailidis 2014): look at the landings, and let the next lesson be quieter.
contacts-many-jumps = { $child } made { $count } jumps today, and reviews of youth jump training end with 80 to 120 a session (Michailidis 2014, Bedoya 2015): look at the landings, and let the next lesson be quieter.
contacts-many-turns = { $child } made { $count } hard stops and turns today; more than { $limit } is our own mark with no study behind it: see whether the braking leg still holds.
contacts-days-in-a-row = { $child } has jumps or turns on { $count } days in a row, and youth training in the reviews leaves days between (Bedoya 2015): running and walking drills suit today.
contacts-days-a-week = { $child } has jumps or turns on { $count } days this week, and youth training in the reviews has two (Michailidis 2014): running and walking drills suit today.
contacts-growing-fast = { $child } is growing fast: fewer turns and jumps, a lower hurdle or walking over, and a stop when heel or knee hurts.
contacts-growing-fast-probably = { $child } is probably growing fast: fewer turns and jumps, a lower hurdle or walking over, and a stop when heel or knee hurts.
