# What the program says about sizes and steps.

## Size
body-growing-fast = { $child } has grown { $grown } in { $months ->
    [one] one month
   *[other] { $months } months
  } and is growing fast: steps may be clumsy for a while, so measure them again and keep jumps and hard turns few.
body-growing-fast-probably = { $child } has grown { $grown } in { $months ->
    [one] one month
   *[other] { $months } months
  } and is probably growing fast: steps may be clumsy for a while, so measure them again and keep jumps and hard turns few.
body-stature-shrank = { $child } was { $grown } taller { $months ->
    [one] one month
   *[other] { $months } months
  } before: one of the two statures is wrong, so measure again.
body-stature-surprising = { $stature } is very unusual for { $child } at { $age ->
    [one] one year
   *[other] { $age } years
  }: check the stature and the birth date.
body-leg-length-odd = The leg length of { $child } ({ $leg }) does not go with the stature and is not used: measure from the floor to the outer knob of the thigh bone.
body-line-up-out-of-order = { $child } stands in the line-up where the measured statures say otherwise: check the place or the stature.
body-age-not-usable = The age of { $child } cannot be right and is not used: check the birth date.
body-size-unknown = Nothing is known of the size of { $child }, so the gap is a guess: measure the stature, or put the class in a line by size.

## Steps
stride-steps-surprising = A step of { $step } is very unusual for { $child }: measure once more.
stride-observation-passed-over = One entry of the steps of { $child } cannot be right and is not used: check distance, steps and gap.

## Hurdle height
stride-hurdle-lower = A hurdle of { $wanted } is { $share } of this child's leg: { $height } suits better to begin with.
stride-hurdle-floor-line = A hurdle of { $wanted } is { $share } of this child's leg: begin with a line on the floor, or walking over a lower one.
