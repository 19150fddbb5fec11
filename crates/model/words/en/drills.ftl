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

## Settings
setting-long = long gap
setting-short = short gap
