# Turns by sound: what a bout says, and the screen that counts by it.

## What is heard
heard-number = { $value }
heard-range = { $value } ({ $low } to { $high })
heard-turns-count = Turns: { $count }, on one step: { $one }.
heard-turns-none = No turn is heard.
heard-turn = Turn { $number } at { $t } s ({ $p }): { $steps }; { $stop }.
heard-turn-one = one step ({ $p })
heard-turn-several = several steps, contacts: { $contacts }
heard-turn-unsure = one step or several, sound does not tell (one: { $p })
heard-stop-heavy = heavy stop, { $value } dB over the child's own steps ({ $low } to { $high })
heard-stop-quick = quick, { $value } dB over the child's own steps ({ $low } to { $high })
heard-stop-not-known = heavy or not, sound does not tell: { $value } dB over the child's own steps ({ $low } to { $high })
heard-call-without = Behind call { $call } no turn is heard.

## Why turns cannot be counted
heard-turns-no-steps = Turns cannot be counted: no steps of one child are heard.
heard-turns-few-steps = Turns cannot be counted: too few steps between them to compare with.
heard-turns-uneven = Turns cannot be counted: the steps are so uneven that a break does not stand out.
heard-turns-covered = Turns cannot be counted: the calls of this phone cover too much.

## The screen
turns-count-by = Who counts the turns
turns-count-tap = taps
turns-count-sound = taps and sound
turns-sound-alone = Sound counts one child at a time: choose one by one.
turns-sound-how = Lay the phone beside the middle of the lane; the others are quiet. The recording is dropped as soon as it was heard. While it listens, a tone calls.
turns-sound-on = It listens too. Tap as ever.
turns-sound-trouble = This bout is not heard: tap as ever.
turns-sound-too-long = The bout is longer than two minutes: counted by tap.
turns-sound-listening = Listening to the bout …
turns-sound-heard = Heard
turns-sound-take = Take what was heard
turns-sound-taken = Taken. Put it right below.
turns-sound-unsure =
    { $count ->
        [one] One turn may be one step or several: count it below.
       *[other] { $count } turns may be one step or several: count them below.
    }
sound-heavy-stop = A heavy stop was heard. Tap it to note it with the run:
