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
cli-decide-how = Of 100 hurdles, so many are expected to stay up; the range in brackets holds in nine cases of ten. Where a child was seen little, its class is weighed in. Moving on asks for the number in the line with a chance of more than { $asked }, and for the technique to be right in two watched runs. Each drill is judged as of the last lesson in which the child was seen at it, as on the cards.
cli-decide-how-at = Of 100 hurdles, so many are expected to stay up; the range in brackets holds in nine cases of ten. Where a child was seen little, its class is weighed in, and older runs count less. Moving on asks for the number in the line with a chance of more than { $asked }, and for the technique to be right in two watched runs.
cli-stay-up = { $mean } of 100 ({ $low } to { $high })

## Odds
cli-odds = odds { $times } times ({ $low } to { $high })
cli-odds-head = Odds that a hurdle falls, with likely range (1 means no difference), from { $runs ->
    [one] one run
   *[other] { $runs } runs
}:
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
cli-run-class = { $class } ({ $count ->
    [one] 1 line
   *[other] { $count } lines
})
cli-run-classes = { $path } has several classes: { $classes }{ $more ->
    [0] .
   *[other] {" "}and { $more } more.
} { $runner } of the class list stands in more than one of them: it may be two children.
cli-run-classes-remedy = Say with --runs-of which class of the file this list is; with commas when a child changed classes.
cli-run-class-none = { $path } has no class { $class }. It has { $count ->
    [0] none that is named.
   *[other] { $classes }{ $more ->
        [0] .
       *[other] {" "}and { $more } more.
    }
}
cli-run-other-file = `{ $path }` is no run file: no line is a JSON object. A class list goes with --class.
cli-run-line-like = { $line } as { $like }
cli-run-repeated = { $count ->
    [one] 1 line repeats another
   *[other] { $count } lines repeat another
} to the second, and each counts: { $lines }{ $more ->
    [0] .
   *[other] {" "}and { $more } more.
} If the file was put together twice, take one copy out.
cli-file-unreadable = `{ $path }` cannot be read: { $why }
cli-file-unreadable-remedy = Check the name; `-` reads from standard input.
cli-file-unwritable = `{ $path }` cannot be written: { $why }
cli-file-unwritable-remedy = Check that the folder is there and that you may write to it.
cli-why-not-there = there is no such file or folder
cli-why-not-allowed = you are not allowed to
cli-why-folder = it is a folder
cli-none-heard = none of the recordings can be read
cli-none-heard-remedy = Check the names and the kinds; `-` reads from standard input.
cli-run-strangers = { $count ->
    [one] This runner of the run file is not in the class list: { $names }.
   *[other] These runners of the run file are not in the class list: { $names }{ $more ->
        [0] .
       *[other] {" "}and { $more } more.
    }
}

## Lines of a run file that cannot be read
run-bad-line = line { $line }: { $problem }
run-missing = `{ $key }` is missing; add it
run-missing-at = `at` is missing; add the time, like 2026-03-02T10:14:05Z
run-bad-at = `at` is { $value }; write date, time and zone, like 2026-03-02T10:14:05Z
run-missing-hurdles = `hurdles` is missing; add how many the lane has
run-range = `{ $key }` is { $value }; allowed is { $low } to { $high }{ $unit }
run-above-nought = `{ $key }` is { $value }; allowed is above 0 up to { $most }
run-no-such-hurdle = `{ $key }` names hurdle { $hurdle }, but the lane has hurdles 1 to { $hurdles }
run-fell-and-lay = hurdle { $hurdle } is in `knocked` and in `down_before`; a hurdle that lay down cannot fall
run-sweep-seen = `seen` must be got-it or not-yet in a sweep
run-bout-missing = `{ $key }` is missing; a bout has passes, turns, one_step_turns, seconds
run-bout-turns = `one_step_turns` is { $value }, more than the { $turns } turns
run-missing-seconds = `seconds` is missing; add the length of the bout
run-kind = `kind` is { $value }; allowed is run, sweep or bout
run-unfit = `{ $key }` is { $value }; { $want }
run-want-text = write a text in quotation marks
run-want-count = write a whole number, such as 8
run-want-effort = write a number above 0 up to 1
run-want-metres = write metres, such as 1.25
run-want-centimetres = write centimetres, such as 30
run-want-seconds = write seconds, such as 15
run-want-yes-or-no = write true or false
run-want-hurdles = write the numbers of the hurdles, such as [3,4]
run-want-faults = write a list of fault ids, such as ["leans-back"]
run-want-leg = write left or right
run-want-watched = write knocks or technique
run-want-source = write tap, sound or paper
run-key-twice = this is not a run: a key stands twice in it; a run is one JSON object on one line with runner, drill, at, hurdles
run-none = this is not a run; a run is one JSON object on one line with runner, drill, at, hurdles
run-cut = this is not a run: it cannot be read from sign { $sign } on; a run is one JSON object on one line with runner, drill, at, hurdles
cli-run-bad = `{ $path }` has { $count ->
    [one] one line
   *[other] { $count } lines
} that cannot be read
cli-run-bad-more = … and { $count } more
cli-run-bad-remedy = Mend them, or pass over them with --skip-bad.
cli-run-passed-over = passed over { $line }
cli-run-passed-over-more = passed over { $count ->
    [one] one more line
   *[other] { $count } more lines
}
cli-run-none = `{ $path }` holds no run
cli-run-none-remedy = A run is one JSON object a line (docs/formats/runs.md).
cli-run-no-knock = no hurdle fell in these runs, so there is nothing to explain
cli-not-utf8 = `{ $path }`, line { $line }: this is not UTF-8 text
cli-run-utf8-remedy = Save the file as UTF-8, one run a line (docs/formats/runs.md).

## Notices
cli-note = note
cli-error = error

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
