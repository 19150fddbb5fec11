# Papers: a child's card, the class report, the handover.
# English. Card sentences are read by children of ten: crates/model/tests/reading_level.rs holds them to a level.
# `{ $drill }` in a card sentence is what a child does, as in "run over, left and right".

## Months and days
papers-month-1 = January
papers-month-2 = February
papers-month-3 = March
papers-month-4 = April
papers-month-5 = May
papers-month-6 = June
papers-month-7 = July
papers-month-8 = August
papers-month-9 = September
papers-month-10 = October
papers-month-11 = November
papers-month-12 = December
papers-day = { $day }{"\u00A0"}{ $month }
papers-day-year = { $day }{"\u00A0"}{ $month }{"\u00A0"}{ $year }

## What a child does, on a card
card-drill-spot-single = cycle one leg on the spot
card-drill-spot-alternate = cycle both legs on the spot
card-drill-single-walk = walk past and lift one leg over
card-drill-dead-leg-run = run past and lift one leg over
card-drill-alternate-walk = walk over, left and right
card-drill-alternate-run = run over, left and right
card-drill-two-contact-walk = walk with two steps in each gap
card-drill-two-contact-run = run with two steps in each gap
card-drill-side-walk = side step at a walk
card-drill-side-run = side step at a run
card-drill-side-shuttle = side step and turn on the call
card-drill-free-run = run with no hurdles

## The same, under a step of the stairs: at most two short words
card-step-single-walk = one-leg walk
card-step-dead-leg-run = one-leg run
card-step-alternate-walk = left-right walk
card-step-alternate-run = left-right run
card-step-two-contact-walk = two-step walk
card-step-two-contact-run = two-step run
card-step-side-walk = side walk
card-step-side-run = side run
card-step-side-shuttle = side turn
card-steps-title = The steps
card-steps-here = here
card-steps-desc = { $clean ->
    [0] No step can be done yet.
   *[other] Can be done: { $names }.
}
card-steps-desc-here = Here now: { $drill }.
card-steps-desc-all = There are { $count } steps in all.

## A child's card
card-document = Cards for { $class }
card-document-plain = Cards
card-heading-can = You can do this now
card-heading-changed = What has changed
card-heading-work = Work on this
card-heading-next = Next time
card-can = The hurdles stay up when you
card-can-more = { $count ->
    [one] And one more.
   *[other] And { $count } more.
}
card-can-none = No step yet. You are on your way.
card-little = We have not seen much of you yet. Next time we look at you more.
card-nothing = We have not seen you run yet. We will look out for you.
card-better = More hurdles stay up now when you { $drill }: { $after } of 10. At first it was { $before } of 10.
card-better-plain = More hurdles stay up now than at first when you { $drill }.
card-worse = Fewer hurdles stay up than at first when you { $drill }. That happens. Start slow, then speed up.
card-same = You run much as you did before. A real change needs more runs to show.
card-first = This is your first card. The next one can show what has changed.
card-cue = Say to yourself: “{ $cue }”
card-keep = Your form was good. Keep this in mind: “{ $cue }”
card-think = Keep this in mind: “{ $cue }”
card-next-try = A new step for you: { $drill }.
card-next-once-more = Once more: { $drill }.
card-next-watched = Once more: { $drill }. Ask someone to look at how you move.
card-next-easier = First { $drill }. Then go on from there.
card-next-show = Let us see more: { $drill }.
card-next-free = You can do all the steps. Now run fast with no hurdles and keep your form.
card-next-begin = We start with this: { $drill }.
card-seen = { $runs ->
    [0] No runs yet
    [one] From one run
   *[other] From { $runs } runs
}{ $lessons ->
    [0] {""}
    [one] { " " }in one lesson
   *[other] { " " }in { $lessons } lessons
}
card-name-line = Name:
card-fault-toes-hang = Your toes hang down when your foot goes over.
card-fault-heel-low = Your heel stays low when your leg swings.
card-fault-knee-low = Your knee stays low at the hurdle.
card-fault-goes-round = Your foot goes round the hurdle, not over it.
card-fault-out-of-line = Your knee tips to one side.
card-fault-support-ahead = Your free foot lands too far past the hurdle.
card-fault-support-behind = Your free foot lands too soon, before the hurdle.
card-fault-leans-back = You lean back at the hurdle.
card-fault-folds = You bend down at the hurdle.
card-fault-hips-turn = Your hips turn to where you run.
card-fault-hops = You hop up and down between the hurdles.
card-fault-reaches = Your foot lands far out in front.
card-fault-irregular = Your steps do not keep one beat.
card-fault-heavy = Your feet land loudly.
card-fault-arms = Your hands hang low or swing across.
card-fault-slow-turn = You need a few steps to turn.
card-fault-leg-gives = Your knee bends deep when you stop.

## The card in very plain words
card-easy-can = Hurdles stay up when you
card-easy-can-none = No step yet. Keep on.
card-easy-little = We saw few runs. We will look more.
card-easy-nothing = We have not seen you run yet. We will look for you.
card-easy-better = You got better. More hurdles stay up when you { $drill }.
card-easy-worse = This was hard: { $drill }. Start slow.
card-easy-same = No real change yet. Keep on.
card-easy-first = This is your first card.
card-easy-cue = Think: “{ $cue }”
card-easy-next-try = Now try this: { $drill }.
card-easy-next-once-more = Do this once more: { $drill }.
card-easy-next-watched = Do this once more: { $drill }. Ask us to look.
card-easy-next-easier = First do this: { $drill }.
card-easy-next-show = Show us this: { $drill }.
card-easy-next-free = You can do them all. Now run fast with no hurdles.
card-easy-next-begin = Start with this: { $drill }.

## Charts
chart-count-title-clean = { $drill }: { $clean } of { $count } children can do it
chart-count-title-none = Nobody was seen in a lane yet
chart-count-desc = How many of { $count } children are how far with each drill. { $rows }
chart-count-desc-row = { $drill }: can do it { $clean }, worked on { $working }, seen too little { $little }, not seen { $not }.
chart-count-clean = can do it
chart-count-working = worked on
chart-count-little = seen too little
chart-count-not = not seen
chart-count-axis = children (n = { $count })
chart-rate-title-up = { $drill }: more stays up, from { $before } to { $after }
chart-rate-title-down = { $drill }: less stays up, from { $before } to { $after }
chart-rate-title-same = { $drill }: no change beyond the noise
chart-rate-title-one = { $drill }: { $after } stay up, one lesson so far
chart-rate-title-few = { $drill }: { $after } stay up; too few children twice to tell a change
chart-rate-axis = hurdles that stay up; n: children
chart-rate-needed = to move on
chart-rate-n = n { $count }
chart-rate-desc = Share of the standing hurdles that stay up, mean over the children of each lesson, with the range in which the true mean probably lies (9 in 10). { $rows }
chart-rate-desc-row = { $day }: { $mean }, probably between { $low } and { $high }, { $count ->
    [one] one child
   *[other] { $count } children
}.
chart-rate-desc-few = { $day }: { $mean }, too few children for a range.

## Class report
report-title = Class report: { $class }
report-title-plain = Class report
report-facts = { $children ->
    [one] one child
   *[other] { $children } children
} · { $lessons ->
    [0] no lesson with runs yet
    [one] one lesson, { $from }
   *[other] { $lessons } lessons, { $from } to { $to }
} · { $runs ->
    [one] one run
   *[other] { $runs } runs
}
report-nothing = No run of these children was recorded yet. Tap runs at the lane, or type in the counting sheets; then there is something to report.
report-where = Where the class is
report-where-how = Each child counts once in every row. Can do it: enough hurdles stay up to move on, and the technique was right in two watched runs, in the lesson in which it was last seen.
report-col-drill = drill
report-col-clean = can do it
report-col-working = worked on
report-col-little = too little
report-col-not = not seen
report-progress = How it went from lesson to lesson
report-progress-how = Dot: mean share of hurdles that stay up; line: where the true mean probably lies (9 in 10). A change is named only when it lies beyond the noise of the same children seen twice.
report-progress-change = The { $children } children seen in the first and in the last lesson: { $difference }, probably between { $low } and { $high }.
report-points-up = { $points ->
    [0] as many
    [one] one point more
   *[other] { $points } points more
}
report-points-down = { $points ->
    [0] as many
    [one] one point less
   *[other] { $points } points less
}
report-points = { $points } points
report-col-lesson = lesson
report-col-children = children
report-col-mean = stay up
report-col-range = 9 in 10
report-lessons = What each lesson held
report-lessons-how = Middle child, and in brackets the least and the most. Minutes moving are reckoned from recorded runs, way back included; runs that nobody tapped are missing.
report-col-runs = runs
report-col-runs-each = runs a child
report-col-contacts = contacts a child
report-col-moving = min moving
report-col-minutes = min from first to last run
report-spread = { $middle } ({ $least }–{ $most })
report-changed = Who changed beyond the noise
report-changed-none = No child's change lies beyond the noise yet.
report-changed-up = More stays up: { $names }.
report-changed-down = Less stays up: { $names }. Look at growth, tiredness and the lane first.
report-changed-one = { $name } ({ $drill })
report-changed-count = { $up ->
    [one] One child has
   *[other] { $up } children have
} more staying up, { $down ->
    [one] one child
   *[other] { $down } children
} less.
report-lanes = Lanes
report-lanes-none = Too few runs in one lesson to say anything about a lane.
report-lane-gap = { $day }, lane { $lane }, { $drill }: gap { $to } instead of { $from }.
report-lane-height = { $day }, lane { $lane }, { $drill }: height { $to } instead of { $from }.
report-lane-unchanged = No gap or height was changed between lessons.
report-lane-more = { $count ->
    [one] One more change of a gap or height is in the data.
   *[other] { $count } more changes of gaps and heights are in the data.
}
report-unseen = Not seen enough
report-unseen-none = Something can be said of every child.
report-unseen-names = Watch first next time: { $names }.
report-unseen-count = { $count ->
    [one] One child was seen too little to say anything.
   *[other] { $count } children were seen too little to say anything.
}
report-prompt = All of this prompts. You saw the children; the program did not.

## Handover
handover-title = Handover: { $class }
handover-title-plain = Handover
handover-facts = { $minutes }{"\u00A0"}min
handover-how = How it runs
handover-how-set = Each lane has its own gap, below. The stopping room behind the last hurdle stays empty.
handover-how-start = One child in a lane at a time. The next one starts when the lane is clear and every hurdle stands.
handover-how-cue = Say only the words in quotes. Praise light and quick, never high.
handover-how-note = Note who knocks what: a tap in the program, or a tick on the counting sheet.
handover-how-stop = Several down in a row: one more try, slower. Pain: stop, sit out, tell { $who }.
handover-who-default = the office
handover-lanes = Lanes and blocks
handover-say = Say and watch for
handover-children = Children to know about
handover-child-easier = Go easy, no sprints or turns: { $names }.
handover-child-unseen = Seen too little so far, watch them first: { $names }.
handover-child-helping = Here but not running, they help: { $names }.
handover-child-absent = Not here today: { $names }.
handover-child-fault = “{ $cue }” helps { $names }.
handover-child-none = Nothing special is noted of any child.

## In the app
app-findings-papers = On paper
app-papers-cards = Cards for the children
app-papers-cards-what = One side for each child: what it can do, what changed, one thing to work on, what comes next. No child is compared with another.
app-papers-words = Words
app-papers-plain = Plain
app-papers-very-plain = Very plain
app-papers-sheet = On a sheet
app-papers-two = Two, cut apart
app-papers-one = One, large
app-papers-print-cards = Print the cards
app-papers-class = Class report
app-papers-class-what = For you and the school: how many children are where, how it went, what lessons held, lanes, who was seen too little.
app-papers-print-class = Print the report
app-papers-handover = Handover
app-papers-handover-what = One sheet for whoever takes the next lesson: lanes, gaps, drills, cues, jobs, children to know about.
app-papers-print-handover = Print the handover
app-papers-no-lesson = It needs a planned lesson.
app-papers-to-lesson = Plan the lesson
app-papers-values = The values in words
