# Findings: figures and sheets about knocks, and the screen that shows them.

## Figures
draw-rate-title = Hurdles that stay up: { $name }
draw-rate-said = { $mean } of 100 hurdles are expected to stay up, likely between { $low } and { $high }; moving on asks for { $needed }.
draw-knocks-axis = Share of meetings in which it fell
draw-knocks-hurdle = Hurdle
draw-knocks-title = Lane { $lane }: no hurdle stands out
draw-knocks-title-suspect = Lane { $lane }: hurdle { $hurdle } falls more easily than the others
draw-knocks-one = Hurdle { $hurdle }: { $knocks } of { $met }.
draw-knocks-of = { $knocks }/{ $met }
draw-knocks-look = look here

## The counting sheet
draw-counting-title = Lane { $lane }: count for a partner
draw-counting-how = Watch one child at a time. After each run circle the number of every hurdle that your partner knocked over. Nothing fell: circle 0. Hurdles that lay on the floor before the run do not count.
draw-counting-after = Give the sheet to your teacher. Only the numbers matter; nobody is ranked.
draw-counting-child = Child
draw-counting-run = Run { $run }

## The screen
app-tab-findings = Findings
app-findings-title = Findings
app-findings-none = No runs yet. Record some trackside, or type in a counting sheet.
app-to-trackside = Record runs
app-findings-part = Show
app-findings-children = Child by child
app-findings-lanes = Lane by lane
app-findings-watch = Whom to watch next
app-findings-pressure = Under pressure
app-findings-how = Of 100 hurdles: the dot is how many are expected to stay up, the line the likely range, the tick what moving on asks for; the scale runs from 40 to 100. An open dot: not enough seen. Moving on asks for it with a chance of more than 75 %, and for the technique to be right in two watched runs. Each drill is judged as of the last lesson in which the child was seen at it.
app-findings-clean = { $mean } of 100 hurdles stay up ({ $low } to { $high })
app-findings-seen = { $runs ->
        [one] one run
       *[other] { $runs } runs
    }, { $hurdles } hurdles
app-findings-looks = { $looks ->
    [one] one look at the whole lane
   *[other] { $looks } looks at the whole lane
}
app-findings-pulled = Few runs count less: the share is pulled towards what the class shows.
app-findings-cue = Say: { $cue }
app-findings-easier = An easier drill: { $drill }
app-findings-spacing-first = Look at the gap first: { $share } of the children of this size show the same.
app-findings-spacing-misfit = Look at the gap first: the lane is { $share } off the child's own gap.
app-findings-print-counting = Print counting sheets
app-findings-lane-how = Share of runs in which each hurdle fell, and how often it was met.
app-findings-table-hurdle = Hurdle
app-findings-table-fell = Fell
app-findings-table-met = Met
app-findings-table-share = Share that falls (90 % range)
app-findings-share = { $low } to { $high }
app-findings-runs = The runs behind this
app-findings-take-out = This run did not happen
app-findings-other-outs = Runs that were taken out
app-findings-table-odds = Odds against the others
app-findings-odds = { $times } ({ $low }–{ $high })
app-findings-more = More about it
