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

cli-suspect-no-lane = hurdle { $hurdle } { $setup } { $knocks } of { $met } fell, { $odds }

## Recordings
cli-unreadable = It cannot be read: { $why }.
cli-undecodable = It cannot be decoded: { $why }. WAV, FLAC, OGG/Vorbis, MP3 and M4A/AAC can; record or copy it again.
cli-why-no-recording = it is no recording of a known kind
cli-why-damaged = it is damaged
cli-why-no-sound = no sound is in it
cli-why-rate = its sampling rate changes midway
cli-crossing-beyond = The first crossing at { $seconds } s lies beyond the recording, which ends after { $length } s. Give the moment from the start of the recording.

## Refusals of a class list
cli-list-look = the class list needs a look in { $places ->
    [one] one place
   *[other] { $places } places
}:
cli-list-place = line { $line }, column { $column }: { $said }
cli-list-more = and { $count } more
cli-nothing-planned = Nothing was planned.

## Files
cli-over-input = { $flag } would write over `{ $path }`, which is read here.
cli-over-output = { $flag } and { $other } would both write `{ $path }`.
cli-over-data = `{ $path }` is the data itself.
cli-over-other = `{ $path }` is there already and is no export of this form.
cli-is-folder = `{ $path }` is a folder.
cli-write-elsewhere = Give another name. Nothing was written.

## Run files
cli-run-line = line { $line } ({ $day })
cli-run-ahead = { $count ->
    [one] One run is dated ahead of this computer's clock and is left out: { $lines }.
   *[other] { $count } runs are dated ahead of this computer's clock and are left out: { $lines }{ $more ->
        [0] .
       *[other] {" "}and { $more } more.
    }
}
cli-run-all-ahead = every run is dated ahead of this computer's clock, which shows { $today }: { $lines }
cli-run-ahead-remedy = Put the dates right, or the clock.
cli-run-named = { $name } ({ $count ->
    [one] line
   *[other] lines
} { $lines })
cli-run-drills = { $count ->
    [one] This drill is not on the ladder, so its place among the others is unknown: { $names }.
   *[other] These drills are not on the ladder, so their places among the others are unknown: { $names }{ $more ->
        [0] .
       *[other] {" "}and { $more } more.
    }
}
cli-run-drill-near = Is { $near } meant?
cli-run-strangers = { $count ->
    [one] This runner of the run file is not in the class list: { $names }.
   *[other] These runners of the run file are not in the class list: { $names }{ $more ->
        [0] .
       *[other] {" "}and { $more } more.
    }
}

## Notices
cli-note = note

## Erasing
cli-goes = { $count ->
    [0] { $name }: nothing is there to go.
    [one] { $name }: one record goes: { $what }.
   *[other] { $name }: { $count } records go: { $what }.
}
cli-goes-child = { $name } ({ $children ->
    [one] one child
   *[other] { $children } children
})

## Lessons
cli-unit-on-paper = A handover is for one lesson, and { $flag } plans several.
cli-unit-on-paper-instead = To print the first one, leave { $flag } out; for another day, say --on YYYY-MM-DD instead.
cli-absent-and-helping = { $name } is named by --absent and by --helping.
cli-absent-and-helping-remedy = Who is absent cannot help: name the child once.
