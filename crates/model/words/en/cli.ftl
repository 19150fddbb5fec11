# What the command line writes beside the words of the computations: tables, and refusals of a class list.

## What a gap rests on
cli-basis-measured-steps = measured steps
cli-basis-tried-gaps = tried gaps
cli-basis-stature = stature
cli-basis-line-up = line-up
cli-basis-leg-length = leg length
cli-basis-age-and-sex = age and sex
cli-basis-age = age
cli-basis-the-rest-of-the-class = the rest of the class
cli-basis-nothing-yet = nothing yet

## Decisions
cli-clean = clean { $mean } ({ $low } to { $high })

## Odds
cli-odds = { $times } times ({ $low } to { $high })
cli-odds-head = Odds that a hurdle falls, with likely range, from { $runs } runs:
cli-odds-lead = left leg against right
cli-odds-order = each further run of a child
cli-odds-position = last hurdle against first
cli-odds-carry = after a hurdle that fell
cli-suspects = Hurdles that could be worse than the others, most suspicious first:
cli-suspect = lane { $lane } hurdle { $hurdle } { $setup } { $knocks } of { $met } fell, { $odds }

## Recordings
cli-unreadable = It cannot be read: { $why }.
cli-undecodable = It cannot be decoded: { $why }. WAV, FLAC, OGG/Vorbis, MP3 and M4A/AAC can; record or copy it again.

## Refusals of a class list
cli-list-look = the class list needs a look in { $places ->
    [one] one place
   *[other] { $places } places
}:
cli-list-place = line { $line }, column { $column }: { $said }
cli-list-more = and { $count } more
cli-nothing-planned = Nothing was planned.
