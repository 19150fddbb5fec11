# English. One message per line; a helper's or a screen's words stand together.
# Numbers come with their unit: `{ $gap }` is "1.25 m" or "4 ft 1 in".

## Drills
drill-spot-single = Single-leg cycle on the spot
drill-spot-alternate = Alternate cycle on the spot
drill-single-walk = Single-leg walk-over
drill-dead-leg-run = Dead-leg run
drill-alternate-walk = Alternate walk-over
drill-alternate-run = Alternate run
drill-two-contact-walk = Two-contact walk
drill-two-contact-run = Two-contact run
drill-side-walk = Side-step walk
drill-side-run = Side-step run
drill-side-shuttle = Side-step shuttle with a turn on call
drill-free-run = Free run

## How each one goes, and what to call out
drill-spot-single-how = Stand tall beside a wall; one foot cycles: ankle up, heel under the hip, knee lifts, foot comes down below the body.
drill-spot-single-cue = Toes up, heel up, step over.
drill-spot-alternate-how = The same cycle, left and right in turn, arms as in running.
drill-spot-alternate-cue = Toes up, light and quick.
drill-single-walk-how = Walk beside the hurdles; only the near leg goes over, the other foot lands level with each hurdle.
drill-single-walk-cue = Over, not round.
drill-dead-leg-run-how = Run beside the hurdles; the outside leg stays long, the near leg cycles over each one.
drill-dead-leg-run-cue = Hip, knee and ankle in one line.
drill-alternate-walk-how = Walk over the middle; every step crosses a hurdle, left and right in turn.
drill-alternate-walk-cue = Tall, toes up.
drill-alternate-run-how = Run over the middle; every step crosses a hurdle, left and right in turn.
drill-alternate-run-cue = Tall and quick, step down under you.
drill-two-contact-walk-how = Walk over; two contacts in every gap, so the same leg leads all the way. Change the lead leg from run to run.
drill-two-contact-walk-cue = One, two, over.
drill-two-contact-run-how = The lane of the alternate run, slower, with quick short steps: two contacts in every gap, the same leg leads.
drill-two-contact-run-cue = Quick feet, one, two, over.
drill-side-walk-how = Stand sideways; lead foot over, trail foot over, hips face forward all the way.
drill-side-walk-cue = Hips and chest to the front.
drill-side-run-how = The side-step in a running rhythm, light on the balls of the feet.
drill-side-run-cue = Light and level.
drill-side-shuttle-how = Side-steps to and fro; on the call the direction changes within one step. 5 to 30 seconds.
drill-side-shuttle-cue = One step and back.
drill-free-run-how = Run the same way without hurdles and keep the picture.
drill-free-run-cue = Run as if they were there.

## Settings
setting-long = long gap
setting-short = short gap
