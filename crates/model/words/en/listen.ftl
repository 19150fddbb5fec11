# What the sound of a run says.

## Why there is no answer, and what to do
listen-empty = There is no sound in it. Record again.
listen-too-short = It is shorter than a second. Start before the child runs, stop when it stands.
listen-too-long = It is longer than { $seconds } seconds. Record one run at a time, or cut this one out.
listen-silent = Hardly anything can be heard. Lay the phone beside the lane, microphone up, nothing over it.
listen-overdriven = It is too loud for the microphone. Lay the phone a step farther from the lane.
listen-no-steps = No run of one child can be heard in it. Lay the phone beside the middle of the lane, one child at a time, the others quiet.
listen-too-noisy = Something like steps is there, and too much noise over it. Closer to the lane, out of the wind, the others quiet.

## The answer
listen-contacts =
    { $count ->
        [one] One contact
       *[other] { $count } contacts
    } in { $seconds } s.
listen-cadence = { $cadence } steps a second (between { $low } and { $high }).
listen-even = Even: the step time varies by { $cv } (between { $low } and { $high }).
listen-uneven = Uneven: the step time varies by { $cv } (between { $low } and { $high }).
listen-one-sided = One foot takes longer: the step times of the two feet differ by { $asymmetry } (between { $low } and { $high }).
listen-not-enough = Even or not cannot be said: the step time varies by { $cv }, and { $low } to { $high } is possible.
listen-not-enough-steps = Too few steps to say whether they are even.
listen-trend = From the first step to the last the cadence changes by { $trend } (between { $low } and { $high }).
listen-knock = A knock at { $t } s ({ $p }).
listen-knock-hurdle = A knock at { $t } s, hurdle { $hurdle } ({ $p }).
listen-knock-perhaps = A knock at { $t } s, perhaps hurdle { $hurdle } ({ $p }).
listen-knock-among = A knock at { $t } s, one of hurdles { $low } to { $high } ({ $p }).
listen-knock-unplaced = A knock at { $t } s ({ $p }); at which hurdle, the sound does not tell.
listen-brake = A heavy stop at { $t } s ({ $p }), { $pause } step times until the next contact.
listen-gap = Gap behind hurdle { $hurdle }: { $speed } (between { $low } and { $high }).
listen-step = One step was { $step } (between { $low } and { $high }).
listen-alignment = Which contact crosses the first hurdle was guessed ({ $p } sure). Mark it with --first-crossing-s.
listen-no-gaps = Too few contacts for { $hurdles } hurdles: no speed per gap.

## The strip
draw-sound-title = The sound of a run
draw-sound-said = { $contacts } contacts in { $seconds } s, { $knocks } knocks, { $brakes } heavy stops.
draw-sound-contact = contact
draw-sound-knock = knock
draw-sound-brake = heavy stop
draw-sound-seconds = { $t } s

## What the gap sounds like
heard-gap-too-close = { $cadence } steps a second at { $speed }. Usual for this child at that speed: about { $usual } ({ $low } to { $high }). The gap sounds too close ({ $p }).
heard-gap-right = { $cadence } steps a second at { $speed }. Usual for this child at that speed: about { $usual } ({ $low } to { $high }). The gap sounds right ({ $p }).
heard-gap-too-far = { $cadence } steps a second at { $speed }. Usual for this child at that speed: about { $usual } ({ $low } to { $high }). The gap sounds too far ({ $p }).
