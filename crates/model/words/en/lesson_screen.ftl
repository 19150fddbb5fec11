# The Lesson screen: planning, and the clock at the field.

## Planning
lesson-plan-tab = Lesson
lesson-plan-title = Lesson
lesson-plan-no-class = There is no class yet. Type one in or read a list, then come back for a lesson.
lesson-plan-use = What for
lesson-plan-minutes = Minutes
lesson-plan-resetting = Lanes are re-set
lesson-plan-on-marks = on marks laid beforehand
lesson-plan-by-tape = by tape
lesson-plan-working = The lesson is being planned …
lesson-plan-sum = { $total } of { $minutes } min, { $blocks ->
    [one] 1 block
   *[other] { $blocks } blocks
}
lesson-plan-sum-runs = About { $runs } runs a child, moving { $share } of the block time
lesson-plan-block = Block { $number }
lesson-plan-block-minutes = { $minutes } min
lesson-plan-change = Change the gaps
lesson-plan-change-lane = Lane { $lane }: { $setting }, { $gap }
lesson-plan-change-who = Lane { $lane }: { $setting }, { $gap }. { $names } carry.
lesson-plan-lane-drill = Lane { $lane }: { $drill }
lesson-plan-lanes-drill = Lanes { $lanes }: { $drill }
lesson-plan-shorter = Block { $number } one minute shorter
lesson-plan-longer = Block { $number } one minute longer
lesson-plan-part-shorter = { $part } one minute shorter
lesson-plan-part-longer = { $part } one minute longer
lesson-plan-fix = Keep as it is
lesson-plan-fixed = Fixed
lesson-plan-loosen = Let it be planned again
lesson-plan-swap = Other drill, bouts
lesson-plan-drop = Drop
lesson-plan-bouts = Bouts
lesson-plan-bouts-none = no bouts
lesson-plan-bouts-of = { $work } s work, { $rest } s rest
lesson-plan-swap-lane = Lane { $lane }
lesson-plan-why = Why
lesson-plan-afresh = Plan it all afresh
lesson-plan-back = Take the last change back
lesson-plan-fits-not = The lanes of this lesson do not fit the floor with their stopping room. See Lanes.
lesson-plan-cautions = Take care
lesson-plan-notes = What it rests on
lesson-plan-more-moving = What would keep them moving more
lesson-plan-prepare = Say and show
lesson-plan-start = Start the lesson
lesson-plan-lanes-said = Lanes and Trackside now have the drills of this lesson
lesson-plan-feet = Where the feet go

## The clock
lesson-now-part = Part { $number } of { $of }
lesson-now-block = Block { $number }
lesson-now-left = left in this part
lesson-now-talk = Paused
lesson-now-over = The lesson is over
lesson-now-over-for = over for
lesson-now-whole = { $time } left in all
lesson-now-ends = ends { $clock }
lesson-now-later = { $time } late
lesson-now-earlier = { $time } early
lesson-now-next = Next
lesson-now-next-part = { $part }, { $minutes } min
lesson-now-next-none = This is the last part.
lesson-now-pause = Pause
lesson-now-go-on = Go on
lesson-now-skip = Next part
lesson-now-back = Back
lesson-now-end = End the lesson
lesson-now-minute-less = −1 min
lesson-now-minute-more = +1 min
lesson-now-shorter = 1 min less
lesson-now-longer = 1 min more
lesson-now-work = Work
lesson-now-rest = Rest
lesson-now-bout = { $number } of { $of }
lesson-now-watch = Watch for: { $fault }
lesson-now-lead = Change the lead leg from run to run.
lesson-now-easier = { $drill }: { $names }
lesson-now-lines = Over floor lines: { $names }
lesson-now-setters = Who stands hurdles up, in this order
lesson-now-trackside = Tap runs in lane { $lane }
lesson-now-tap-runs = Tap runs
lesson-now-parts = Parts of the lesson
lesson-now-differ-counted = The device's clock went { $time } further than its stopwatch while this page was out of sight. That time is counted.
lesson-now-differ-uncounted = The device's clock went { $time } further than its stopwatch. That time is not counted.
lesson-now-differ-back = The device's clock was set back by { $time }. The lesson goes by the stopwatch.
lesson-now-differ-take-out = Do not count it
lesson-now-differ-count = Count it
lesson-now-differ-fine = All right
lesson-now-to-lesson = Lesson, { $time } left in this part

## Sound, voice, vibration, screen
lesson-now-signals = Sound, voice, screen
lesson-now-sound = Sound
lesson-now-sound-missing = This browser makes no sound of its own.
lesson-now-sound-tap = Tap anywhere once: the browser lets a page sound only after a tap.
lesson-now-sound-hear = Hear it
lesson-now-voice = Voice
lesson-now-voice-missing = There is no voice on this device that speaks without a network.
lesson-now-vibration = Vibration
lesson-now-vibration-missing = This browser does not vibrate.
lesson-now-screen = Screen stays on
lesson-now-screen-missing = This browser does not let a page keep the screen on. Set the device's own lock time longer.
lesson-now-signals-hidden = In another app or with the screen off, only sound comes, and some phones stop that too. The time goes on in any case.
lesson-now-say-work = Go
lesson-now-say-rest = Rest
lesson-now-say-warning = Ten seconds
