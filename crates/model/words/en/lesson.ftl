# The lesson: blocks, why they are there, what to say and do.

## Parts without hurdles
lesson-part-register = Register
lesson-part-set-up = Setting out
lesson-part-talk = Talk
lesson-part-demonstration = Demonstration
lesson-part-free-runs = Two free runs without hurdles
lesson-part-cool-down = Cool-down
lesson-part-kit-away = Kit away

## What it is for
lesson-use-warm-up = Warm-up
lesson-use-station = Station
lesson-use-lesson = Lesson

## Why a block is there
lesson-why-working =
    { $children ->
        [one] One child works on the { $drill }
       *[other] { $children } children work on the { $drill }
    }: about { $rate } of the hurdles are expected to stand.
lesson-why-keeping =
    { $children ->
        [one] One child has the { $drill } settled and keeps it up.
       *[other] { $children } children have the { $drill } settled and keep it up.
    }
lesson-why-unseen =
    { $children ->
        [one] One child has not been seen at the { $drill } yet; after its other drills it should be settled.
       *[other] { $children } children have not been seen at the { $drill } yet; after their other drills it should be settled.
    }
lesson-why-opens =
    { $children ->
        [one] For one child the { $drill } opens the { $later }.
       *[other] For { $children } children the { $drill } opens the { $later }.
    }
lesson-why-change =
    { $minutes ->
        [0] Lanes are re-set before it.
        [one] Lanes are re-set before it: one minute.
       *[other] Lanes are re-set before it: { $minutes } minutes.
    }
lesson-why-no-change = Nothing needs re-setting before it.
lesson-why-share = Without it the lesson would teach about { $share } less.

## What to show and say
lesson-show = { $drill }: { $how }
lesson-talk-cue = { $drill }: “{ $cue }”
lesson-talk-fallen = A fallen hurdle is no mistake. Run on; the setter stands it up.
lesson-talk-start = Start when the lane is clear and every hurdle stands.
lesson-talk-back = Walk back outside the lane, never through it.

## Jobs
lesson-job-setter = { $name } stands hurdles up in lane { $lane }.
lesson-job-counter = { $name } counts what falls in lane { $lane }, on paper.
lesson-job-caller = { $name } calls the starts in lane { $lane }.

## A station's card
lesson-card-drill = { $minutes } min { $drill }. { $how } “{ $cue }”
lesson-card-start = Start when the lane is clear and every hurdle stands. One child in the lane at a time.
lesson-card-setter = Who has just run waits beside the lane and stands fallen hurdles up, then joins the queue.
lesson-card-count = The next in line counts how many still stand.
lesson-card-stop = Does something hurt, or is something broken? Stop and tell the teacher.

## What it rests on
lesson-note-best = No other plan with these drills, minutes and lanes teaches more by this rule: the search was finished.
lesson-note-gap = Another plan may teach up to { $share } more by this rule; the search was stopped there.
lesson-note-new-class = Nothing was seen of this class yet: the plan rests on what is usual, slow drills first.
lesson-note-pace =
    { $lanes ->
        [one] Lane { $letters } starts a run every { $low } to { $high } s (from { $starts } starts of the last lesson). Runs per child are reckoned with that.
       *[other] Lanes { $letters } start a run every { $low } to { $high } s (from { $starts } starts of the last lesson). Runs per child are reckoned with that.
    }
lesson-note-left-out = The { $drill } stays out: its lanes do not stand on this floor together with the others.
lesson-note-letters = Lane letters rise with the long gap. The short gaps do not rise with them: { $gaps }.
lesson-note-lines =
    { $children ->
        [one] { $names } starts over floor lines until it feels easy: no drill here is easy enough yet.
       *[other] { $names } start over floor lines until it feels easy: no drill here is easy enough yet.
    }
lesson-note-unused =
    { $minutes ->
        [one] One minute is left over.
       *[other] { $minutes } minutes are left over.
    }
lesson-note-rule = Children are taken to learn most where about 85 of 100 hurdles stay up. The rule comes from other learners (Wilson and others 2019); that it holds for running over hurdles is assumed.

## When there is no plan
lesson-error-no-time = { $minutes } min less { $fixed } min for fixed parts leave no block. Take more time, or shorten a fixed part.
lesson-error-no-drill = No drill is left that anyone in the class may do. Allow more drills.
lesson-error-other = This lesson cannot be planned: { $reason }.

## The lesson as text
lesson-text-head =
    { $use } of { $minutes } minutes: { $children ->
        [one] one child
       *[other] { $children } children
    }, { $lanes ->
        [one] one lane.
       *[other] { $lanes } lanes.
    }
lesson-text-moves = Each child runs about { $runs } times and moves for { $blocks } of the time in the blocks and { $lesson } of the whole time.
lesson-text-block = Block { $number }
lesson-text-resetting = Re-setting lanes
lesson-text-reset = Lane { $lane } to { $gap }: { $names }.
lesson-text-drill = { $drill }.
lesson-text-drill-lanes = { $drill } in { $lanes }.
lesson-text-lane =
    { $lane }  { $setting } { $gap }, about { $runs ->
        [one] one run
       *[other] { $runs } runs
    } and { $contacts } contacts each.
lesson-text-easier = { $names }: { $drill } meanwhile.
lesson-text-lead = Change the lead leg from run to run.
lesson-text-side = Change sides from run to run, so that each leg works.
lesson-text-watch = Watch: { $look }
lesson-text-cue = “{ $cue }”
lesson-text-setters =
    { $more ->
        [0] Stand hurdles up, in turn: { $names }.
        [one] Stand hurdles up, in turn: { $names } and one more.
       *[other] Stand hurdles up, in turn: { $names } and { $more } more.
    }
lesson-text-say = Show and say
lesson-text-jobs = Jobs
lesson-text-card = The station's card
lesson-text-moving = What would keep them moving more
lesson-text-cautions = Take care
lesson-text-notes = What it rests on
lesson-text-opens = When the next drill opens, in four of five cases
