# Next steps and the reasons behind them.

## Next steps
action-move-on = Moves on
action-repeat = Once more
action-step-back = Steps back
action-not-enough-seen = Not enough seen

## What was seen
why-evidence-none-fell =
    { $runs ->
        [one] All { $hurdles } hurdles stood in one run.
       *[other] All { $hurdles } hurdles stood in { $runs } runs.
    }
why-evidence-single = One of { $hurdles } hurdles fell in { $runs ->
        [one] one run
       *[other] { $runs } runs
    }. A single knock is let go.
why-evidence-singles = { $knocked } of { $hurdles } hurdles fell in { $runs ->
        [one] one run
       *[other] { $runs } runs
    }, never two in a row.
why-evidence-one-row = { $knocked } of { $hurdles } hurdles fell in { $runs ->
        [one] one run
       *[other] { $runs } runs
    }, all of them in one row.
why-evidence-rows = { $knocked } of { $hurdles } hurdles fell in { $runs ->
        [one] one run, several
       *[other] { $runs } runs, in { $rows ->
            [one] one of them
           *[other] { $rows } of them
        } several
    } in a row.
why-evidence-sweeps = { $sweeps ->
        [one] One look at the whole lane.
       *[other] { $sweeps } looks at the whole lane.
    }

## Reasons
why-see-one-more-run = Seen once only, which says little. Watch another run.
why-see-more-hurdles = Watch { $hurdles ->
        [one] one more hurdle
       *[other] { $hurdles } more hurdles
    } before deciding.
why-clean-enough = At least { $needed } of 100 with a chance of { $p }.
why-repeat = At least { $needed } of 100 with a chance of { $p } only.
why-step-back = At most { $rate } of 100 with a chance of { $p }: too much falls for this drill. An easier one first.
why-only-knocks-watched = Only knocks were watched. Look at the technique in two runs before moving on.
why-watch-once-more = The technique was right in one watched run. See it right once more.
why-key-fault = { $fault } was seen when last watched. Put that right first.
why-next-run-better = After falls in a row the next run was better.
why-next-run-not-better = After falls in a row the next run was not better.
why-one-more-try = In the last run several fell in a row. One more try first.
why-holds-under-sprint = Enough hurdles stay up with the exit sprint, too.
why-breaks-under-sprint = Fewer hurdles stay up with the exit sprint than without, and too few.
why-left-leg = The left leg knocks more: { $knocks } of { $crossings } against { $other_knocks } of { $other_crossings } (of falls in a row only the first counts).
why-right-leg = The right leg knocks more: { $knocks } of { $crossings } against { $other_knocks } of { $other_crossings } (of falls in a row only the first counts).
why-only-sweeps = Seen only from a distance. One watched run says more.
why-last-seen = Last seen at it on { $day }.
why-lane-hurdle = Look at hurdle { $hurdle } of lane { $lane } first: it falls more easily than the others, and this child knocked it { $knocks } of { $met } times.
why-lane-hurdle-setup = Lane { $lane } as laid for { $setup }: hurdle { $hurdle } fell more easily than the others, and this child knocked it { $knocks } of { $met } times.
why-lane-without = Without { $hurdles ->
        [one] that hurdle
       *[other] those hurdles
    } it would be { $mean } of 100 ({ $low } to { $high }), and { $then }.
why-lane-without-same = Without { $hurdles ->
        [one] that hurdle
       *[other] those hurdles
    } it would be { $mean } of 100 ({ $low } to { $high }), and the next step the same.
why-lane-then-move-on = the child would move on
why-lane-then-repeat = the child would run it once more
why-lane-then-watch = enough to move on once the technique is right in two watched runs
why-lane-then-step-back = the child would step back
why-lane-then-not-enough = too little would be seen

## Faults
fault-toes-hang = Toes hang
fault-toes-hang-look = The toes point down while the foot passes over.
fault-toes-hang-cause = The ankle is loose, or the child thinks of jumping.
fault-toes-hang-cue = Toes up.
fault-heel-low = Heel stays low
fault-heel-low-look = The heel does not fold under the hip; the leg swings long.
fault-heel-low-cause = The leg is lifted from the front only, or the gap leaves no time.
fault-heel-low-cue = Heel to the seat, then over.
fault-knee-low = Knee stays low
fault-knee-low-look = The knee does not rise in front; the foot scrapes over.
fault-knee-low-cause = The step is tired or too short, or the hurdle is high for the leg.
fault-knee-low-cue = Step over a puddle.
fault-goes-round = Foot goes round
fault-goes-round-look = From the front: the foot swings out and round the hurdle.
fault-goes-round-cause = The hip opens to save height; the hurdle is high for the leg, or respected too much.
fault-goes-round-cue = Over, not round.
fault-out-of-line = Out of line
fault-out-of-line-look = From the front: hip, knee and ankle are not above each other.
fault-out-of-line-cause = The hip drops or the knee falls in, most often when tired or hurried.
fault-out-of-line-cue = Hip, knee, ankle: one line.
fault-support-ahead = Support foot ahead
fault-support-ahead-look = From the side: the support foot lands ahead of the hurdle.
fault-support-ahead-cause = The gap is long for this speed, or the child reaches.
fault-support-ahead-cue = Foot down beside the hurdle.
fault-support-behind = Support foot behind
fault-support-behind-look = From the side: the support foot lands behind the hurdle.
fault-support-behind-cause = The gap is short for this speed, or the child waits.
fault-support-behind-cue = Catch the hurdle with your foot beside it.
fault-leans-back = Leans back
fault-leans-back-look = From the side: shoulders behind the hips at the hurdle.
fault-leans-back-cause = The gap is long, the foot reaches, or the child brakes before the hurdle.
fault-leans-back-cue = Tall, chest over the hips.
fault-folds = Folds at the waist
fault-folds-look = From the side: the chest drops towards the knee.
fault-folds-cause = The eyes are on the hurdle, or the knee is lifted by bending down to it.
fault-folds-cue = Eyes to the end of the lane.
fault-hips-turn = Hips turn
fault-hips-turn-look = From the end of the lane: the hips turn into the running direction.
fault-hips-turn-cause = The trail foot is late, or the gap is wide for the child.
fault-hips-turn-cue = Belt buckle to the front.
fault-hops = Hops or chops
fault-hops-look = The steps bounce up, or extra little steps come in before a hurdle.
fault-hops-cause = The gap is short for the speed, or the rhythm is not there yet.
fault-hops-cue = Quick and flat, one, two.
fault-reaches = Reaches
fault-reaches-look = From the side: the foot lands far in front of the hips.
fault-reaches-cause = The gap is long for the child.
fault-reaches-cue = Step down under you.
fault-irregular = Irregular
fault-irregular-look = Listen: the contacts are not even.
fault-irregular-cause = The gap does not suit the step, or attention goes to single hurdles.
fault-irregular-cue = Same beat all the way.
fault-heavy = Heavy
fault-heavy-look = Listen: the contacts slap or stamp.
fault-heavy-cause = The foot lands flat and far in front, or the child is tired.
fault-heavy-cue = Quiet feet.
fault-arms = Arms low or across
fault-arms-look = From the front: the hands hang or cross the middle.
fault-arms-cause = All attention is on the legs.
fault-arms-cue = Hands from hip to cheek.
fault-slow-turn = Several steps in the turn
fault-slow-turn-look = Listen and look: more than one step to change direction.
fault-slow-turn-cause = The body is upright over the outside leg too late, or the call came at full speed.
fault-slow-turn-cue = One step and back.
fault-heavy-stop = Heavy stop
fault-heavy-stop-look = Listen: one loud, long contact before the turn or at the end, and a slide.
fault-heavy-stop-cause = All speed goes into one leg: the steps before it do not slow down.
fault-heavy-stop-cue = Slow down over three steps, then turn.
fault-leg-gives = Braking leg gives way
fault-leg-gives-look = From the front: the knee of the braking leg falls in or bends deep.
fault-leg-gives-cause = Too fast for the strength that is there, or tired. Slow down at once.
fault-leg-gives-cue = Knee over the foot.
lane-try-shorter = Try a gap one hand shorter.
lane-try-longer = Try a gap one hand longer.
lane-try-lower = Try a lower hurdle or a floor line.
lane-try-none = Leave the lane as it is.

## Lane or child
cause-hurdle = Lane { $lane }, hurdle { $hurdle }: falls more easily than the others, { $knocks } of { $met } times: about { $times } times the odds. Measure the gap before it, and see that it stands level.
cause-first-hurdle = Lane { $lane }, hurdle 1: falls more easily than the others, { $knocks } of { $met } times: about { $times } times the odds. Measure the run-up, and see that it stands level.
cause-lane-unnamed = without a name
cause-setup = a gap of { $gap }, { $height } high
cause-setup-day = a gap of { $gap }, { $height } high, on { $day }
cause-hurdle-setup = Lane { $lane } as laid for { $setup }, hurdle { $hurdle }: falls more easily than the others, { $knocks } of { $met } times: about { $times } times the odds. Measure the gap before it, and see that it stands level.
cause-first-hurdle-setup = Lane { $lane } as laid for { $setup }, hurdle 1: falls more easily than the others, { $knocks } of { $met } times: about { $times } times the odds. Measure the run-up, and see that it stands level.
cause-more-hurdles = { $hurdles ->
        [one] One more hurdle may fall more easily than the others.
       *[other] { $hurdles } more hurdles may fall more easily than the others.
    }
cause-lane-setup = Lane { $lane } as laid for { $setup }: more falls here than its children explain. Measure its gaps, and try one hand shorter or longer.
cause-lane = Lane { $lane }: more falls here than its children explain. Measure its gaps, and try one hand shorter or longer.
cause-swap = Lanes cannot be told from their children yet. Let { $children } children change places with another lane for two runs.
cause-nothing = No hurdle and no lane stands out.

## Whom to watch
watch-never-seen = Not seen yet.
watch-not-today = Not seen yet today.
watch-long-unseen = Not seen for { $minutes ->
        [one] one minute
       *[other] { $minutes } minutes
    }.
watch-seen-little = Seen once only.
watch-could-change = One more run could change the next step.
watch-clear = The next step is clear already.

## The sentence after a run
after-clean-first = All stood. Watch another run.
after-clean = All stood. Once more like that.
after-moves-on = All stood, and all the runs together are enough: on to the next drill.
after-single = A single knock: let it go.
after-scattered = Knocks here and there, never several in a row. Once more, a little slower.
after-broke-start = Several fell in a row at the start. One more try first: { $cue }
after-broke-middle = Several fell in a row in the middle. One more try first: { $cue }
after-broke-end = Several fell in a row towards the end. One more try first: { $cue }
after-broke-again = Several in a row again. Try a slower run, or look whether the gap suits the child.
after-better = Better than the run before. Once more.
after-better-clean = All stood this time: better than the run before.
after-steps-back = Too much falls at this drill. An easier one first.
after-fault = { $fault }: { $cue }
