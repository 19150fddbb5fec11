# The printed lesson and a station's task card.
# English. Numbers come with their unit: `{ $gap }` is "1.25 m" or "4 ft 1 in".

## Head
lesson-page-title-class = { $use } for { $class }
lesson-page-min = { $minutes }{"\u00A0"}min
lesson-page-lanes = { $count ->
    [one] 1{"\u00A0"}lane
   *[other] { $count }{"\u00A0"}lanes
}
lesson-page-hurdles-each = { $hurdles } in each lane

## Timeline
lesson-page-timeline = The minutes of the lesson, to scale
lesson-page-timeline-desc = From minute { $from } to { $to }: { $what }.
lesson-page-timeline-block = block { $number }, { $drills }
lesson-page-timeline-change = lanes are re-set
lesson-page-timeline-reset = re-set
lesson-page-timeline-spare = nothing planned
lesson-page-part-free-runs = Free runs
lesson-page-part = { $what } { $minutes }{"\u00A0"}min
lesson-page-before = Before the blocks: { $parts }.

## Lanes and blocks
lesson-page-row-lane = lane
lesson-page-row-hurdles = hurdles
lesson-page-row-queue = queue
lesson-page-row-setters = setters
lesson-page-row-setter = first setter
lesson-page-row-of = { $number } · { $row }
lesson-page-row-movers = re-set first, { $minutes }{"\u00A0"}min
lesson-page-row-easier = easier drill
lesson-page-row-lines = over floor lines
lesson-page-setters = Setters stand fallen hurdles up; after at most { $runs } runs the next one takes over.
lesson-page-block = { $number } · { $drill }, { $minutes }{"\u00A0"}min ({ $from }–{ $to })
lesson-page-block-many = { $number } · { $minutes }{"\u00A0"}min ({ $from }–{ $to })
lesson-page-gap-long = long { $gap }
lesson-page-gap-short = short { $gap }
lesson-page-drill-gap = { $drill }, { $gap }
lesson-page-easier = { $names }: { $drill }

## What to say, to watch for, and how much each child does
lesson-page-cues = Say and watch for
lesson-page-cue = { $drill }: “{ $cue }”
lesson-page-again = { $drill }: as before.
lesson-page-watch = Watch for: { $fault }.
lesson-page-lead = The lead leg changes from run to run.
lesson-page-each = Each child about { $runs ->
    [one] 1{"\u00A0"}run
   *[other] { $runs }{"\u00A0"}runs
}, { $contacts }{"\u00A0"}contacts.
lesson-page-range = { $low }–{ $high }

## After the blocks, and what is said when there is room
lesson-page-after = Afterwards: { $said }
lesson-page-free-runs = Two free runs without hurdles, { $minutes }{"\u00A0"}min. “{ $cue }”
lesson-page-free-runs-plain = Two free runs without hurdles, { $minutes }{"\u00A0"}min.
lesson-page-helping = Helping: { $jobs }
lesson-page-cautions = Stopping room free, no wall as a finish. Floor dry and even. Every hurdle tips at a light touch. The rules of your school come first.
lesson-page-start = To show and to say at the start
lesson-page-why = Why these blocks
lesson-page-why-block = Block { $number }: { $why }
lesson-page-notes = What the plan rests on

## Task card
lesson-page-card = Your task
lesson-page-card-title = Task card: { $title }

## Short names of drills
lesson-page-drill-spot-single = Cycle on the spot, one leg
lesson-page-drill-spot-alternate = Cycle on the spot
lesson-page-drill-single-walk = Single-leg walk
lesson-page-drill-dead-leg-run = Dead-leg run
lesson-page-drill-alternate-walk = Alternate walk
lesson-page-drill-alternate-run = Alternate run
lesson-page-drill-two-contact-walk = Two-contact walk
lesson-page-drill-two-contact-run = Two-contact run
lesson-page-drill-side-walk = Side-step walk
lesson-page-drill-side-run = Side-step run
lesson-page-drill-side-shuttle = Side-step shuttle
lesson-page-drill-free-run = Free run
