# draw: figures and printed pages
# English. Numbers come with their unit: `{ $gap }` is "1.25 m" or "4 ft 1 in".

## Lane strip
draw-lane = Lane { $lane }
draw-one-gap = gap { $gap }
draw-two-gaps = long gap { $long }, short gap { $short }
draw-hurdles = { $count ->
    [one] 1 hurdle, { $height }
   *[other] { $count } hurdles, { $height }
}
draw-lines = { $count ->
    [one] 1 floor line
   *[other] { $count } floor lines
}
draw-floor-line = line
draw-start-left = L
draw-start-right = R
draw-run-up = run-up { $room }
draw-exit = run on { $room }
draw-stop-long = { $room } to stop, keep free
draw-stop = { $room } to stop
draw-margin = { $room } clear
draw-room = { $room }
draw-row-long = long
draw-row-short = short
draw-row-tape = tape
draw-waiting = wait here
draw-strip-title = Lane { $lane }, set out to scale
draw-strip-desc = From the start line in running direction: { $runup } of run-up, { $hurdles }, { $exit } to run on, then { $stop } to stop in. Keep the lane free up to { $free } from the start line.
draw-strip-desc-long = Long gap { $gap }, hurdles at { $marks } from the start line.
draw-strip-desc-short = Short gap { $gap }, hurdles at { $marks } from the start line.
draw-strip-desc-marks = Hurdles at { $marks } from the start line.
draw-strip-desc-names = In this lane: { $names }.

## Floor plan
draw-floor-title = The lanes on the floor, to scale
draw-floor-desc = { $count ->
    [one] One lane
   *[other] { $count } lanes
} on a floor of { $length } by { $width }.
draw-floor-desc-open = { $count ->
    [one] One lane, no floor given.
   *[other] { $count } lanes side by side, no floor given.
}
draw-floor-desc-fits = Everything fits with its stopping room; { $length } by { $width } are needed.
draw-floor-desc-fits-not = It does not fit: { $length } by { $width } are needed.
draw-floor-desc-lane = Lane { $lane }: gap { $gap }, { $hurdles }, { $stop } to stop.
draw-scale-metres = scale: metres
draw-scale-feet = scale: feet
draw-scale-metres-from = scale: metres from the start end of the floor
draw-scale-feet-from = scale: feet from the start end of the floor
draw-scale-tape = under each lane: tape distance from its start line
draw-legend-waiting = lane, waiting room
draw-legend-hurdle = hurdle
draw-legend-other = mark for the other gap
draw-legend-side = side strip, keep clear
draw-legend-stop = stopping room, never shortened
draw-legend-margin = clear margin
draw-legend-back = way back
draw-legend-wall = wall
draw-legend-over = does not fit

## Gaps
draw-gaps-title = Each child's own gap and the lane's gap
draw-gaps-axis-m = gap, m
draw-gaps-axis-ft = gap, ft and in
draw-gap-title = Own gap of { $name }
draw-gap-lane = Lane { $lane } · { $gap }
draw-gap-desc-measured = Own gap { $gap }, measured, probably between { $low } and { $high }. Lane { $lane } has { $lanegap }.
draw-gap-desc-guessed = Own gap { $gap }, guessed from size, probably between { $low } and { $high }. Lane { $lane } has { $lanegap }.
draw-legend-guessed = guessed from size
draw-legend-measured = measured
draw-legend-range = likely range (9 in 10)
draw-legend-lane-gap = the lane's gap

## Where the feet go
draw-foot-left = L
draw-foot-right = R
draw-foot-left-said = left
draw-foot-right-said = right
draw-feet-title = { $drill }: where the feet go
draw-feet-leads = leads
draw-feet-works = works
draw-feet-contacts = { $gap } · { $count ->
    [one] 1 contact a gap
   *[other] { $count } contacts a gap
}
draw-feet-both-ways = both ways
draw-feet-call = call
draw-feet-turn = turn on call
draw-feet-spot-one = on the spot, one leg works
draw-feet-spot-turns = on the spot, left and right in turn
draw-feet-free = without hurdles
draw-feet-desc-crossed = Seen from above: { $hurdles } hurdles, { $gap }. { $count ->
    [one] One foot contact in every gap.
   *[other] { $count } foot contacts in every gap.
}
draw-feet-desc-in-turn = Left and right lead over the hurdles in turn: { $legs }.
draw-feet-desc-same = The { $leg } foot leads over every hurdle and lands first. Whoever starts from the other mark leads with the other foot.
draw-feet-desc-one-leg = The { $leg } foot goes over every hurdle. The { $other } foot stays beside them and lands level with each one. Then the other leg works.
draw-feet-desc-sideways = The toes point across the lane. The { $leg } foot goes over first, the { $other } foot follows.
draw-feet-desc-both-ways = It goes both ways; on the way back the other foot goes first.
draw-feet-desc-turn = On the call the direction changes.
draw-feet-desc-spot-one = Seen from above: nobody leaves the spot. The { $other } foot stands, the { $leg } foot cycles. Then the other leg works.
draw-feet-desc-spot-turns = Seen from above: nobody leaves the spot. Left and right foot cycle in turn.
draw-feet-desc-free = Seen from above: running steps without hurdles, left and right in turn.

## Printed plan
draw-plan-title = { $count ->
    [1] One lane for { $class }
    [2] Two lanes for { $class }
    [3] Three lanes for { $class }
    [4] Four lanes for { $class }
    [5] Five lanes for { $class }
    [6] Six lanes for { $class }
   *[other] { $count } lanes for { $class }
}
draw-effort = effort { $effort } of full speed
draw-children = { $count ->
    [one] 1{"\u00A0"}child
   *[other] { $count }{"\u00A0"}children
}
draw-for-children = { $count ->
    [one] one child
   *[other] { $count }{"\u00A0"}children
}
draw-note-one-child = A note on the safety of one child is in the program.
draw-floor-size = floor { $length } × { $width }
draw-notes = Please note
draw-more-notes = { $count ->
    [one] One more note is in the program.
   *[other] { $count } more notes are in the program.
}
draw-and-more = and { $count } more
draw-caution-fits-not = This plan does not fit the floor. Change it before you set it out; never shorten the stopping room.
draw-caution-stop = The stopping room stays free: no bags, no children, no wall as a finish.
draw-caution-check = Check the floor for water, dust and edges, and that every hurdle or stand-in tips over at a light touch.
draw-caution-rules = The rules of your school and of qualified people come before this sheet.
draw-col-lane = lane
draw-col-gap = gap
draw-col-long-gap = long gap
draw-col-short-gap = short gap
draw-col-hurdles = hurdles
draw-col-height = height
draw-col-stop = to stop
draw-col-children = children, shortest steps first
draw-units-metric = m: metres, cm: centimetres
draw-units-feet = ft or ': feet, in or ": inches
draw-made-with = { $software }; methods { $methods }
draw-page-of = Page { $page } of { $pages }

## Setting out
draw-out-title = Setting the lanes out
draw-out-step-tape = Hook the tape to the start line and leave it there: every number is a distance from the start line.
draw-out-step-marks = Walk along the tape once and put down a mark at each number.
draw-out-step-two = Triangles are for the long gap, circles for the short gap; where both meet, one mark does.
draw-out-step-starts = L is the start line, R is one step further on: who starts from the other mark leads with the other leg.
draw-out-step-stop = Put a cone on each side of the exit line, and keep everything free from there to the last number.
draw-out-step-try = Let the first and the last child of each lane walk it and then run it once before the others start.
draw-marks-title = Marks for each lane
draw-marks-how = Read each list downwards as you walk along the tape.
draw-cord-how = A cord saves it the next time: tie the start knot, then knot after knot, each at the distance given from the knot before; lay the start knot on the start line and put a hurdle at each knot.
draw-cord-shared = Lanes { $lanes } can share one cord.
draw-shoes-how = Shoes: heel to toe from the start line with a shoe of { $shoe }, to the nearest half shoe (up to { $half } off). Use the tape when you have one.
draw-shoes-none = Enter the length of your shoe in the program to get the marks in shoe lengths as well.
draw-col-mark = mark
draw-col-long = long
draw-col-short = short
draw-col-tape = tape
draw-col-shoes = shoes
draw-col-knot = knot
draw-mark-start-left = Start L
draw-mark-start-right = Start R
draw-mark-hurdle = Hurdle
draw-mark-hurdle-n = Hurdle { $number }
draw-mark-exit = Exit line
draw-mark-free = Free until
draw-knot = { $number } · { $more }
draw-knot-start = start
