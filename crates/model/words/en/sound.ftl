# Listening beside the lane, in the app.

## The frame
sound-part = By sound
sound-how = For one lane: lay the phone beside the middle of it, microphone up, not in a pocket. One child runs, the other lanes wait and are quiet.
sound-private = The sound stays on this phone. It is dropped with the next recording unless you keep it.
sound-no-hurdles = This drill has no gaps to count by: steps are heard, hurdles are not.

## Recording
sound-record = Record
sound-again = Record again
sound-cancel = Cancel
sound-stop = Stop
sound-open-file = Open a sound file
sound-asking = The browser asks whether it may use the microphone.
sound-counting = Recording in { $seconds } …
sound-recording = { $seconds } s, at most { $most } s
sound-stops-itself = It stops by itself when the run is over.
sound-reading = Reading the file …
sound-listening = Listening …
sound-level = Level
sound-level-good = It hears well.
sound-level-loud = Too loud: lay the phone a step farther away.
sound-level-silent = Nothing can be heard: is the microphone covered?

## What does not work, and what still does
sound-not-secure = Browsers give the microphone only to secure pages (https), and this page is not one. Open a sound file instead, or record runs by tap.
sound-no-permission = The microphone is not allowed for this page. Allow it in the browser's settings for this page, open a sound file, or record runs by tap.
sound-no-microphone = This device shows no microphone. Open a sound file, or record runs by tap.
sound-busy-microphone = Another app holds the microphone. Close it and try again.
sound-no-recorder = This browser cannot record sound for us. Open a sound file, or record runs by tap.
sound-broke-off = The microphone went silent: the recording ended early.
sound-file-unreadable = This browser cannot read that file as sound. WAV and M4A mostly work.
sound-file-too-big = The file is larger than { $most } MB: cut the run out of it first.
sound-no-listener = This browser cannot start the part that listens. Reload the page, or record the run by tap.

## What was heard
sound-heard = What was heard
sound-not-heard = No answer from this recording
sound-play = The recording
sound-crossing = Hurdle 1 comes after contact { $contact }
sound-crossing-guessed = This was guessed ({ $p } sure). Play it and move it when the hurdles do not fit.
sound-crossing-chosen = You chose it.
sound-crossing-right = That is right
sound-crossing-earlier = One contact earlier
sound-crossing-later = One contact later
sound-not-counted = Too few contacts to tell the hurdles apart: tap what fell.
sound-look = Look at the lane, then tap what fell or did not.
sound-which = { $count ->
    [one] 1 knock heard: which hurdle?
   *[other] { $count } knocks heard: which hurdles?
}
sound-none-fell = None of them fell
sound-no-other-fell = No other fell
sound-unplaced =
    { $count ->
        [one] One knock cannot be put down to one hurdle: look which one fell.
       *[other] { $count } knocks cannot be put down to one hurdle each: look which fell.
    }
sound-speeds = Speed through the gaps
sound-drop = Drop it
sound-said-run = { $name } · run { $number }, heard: { $what }
sound-note-first = Choose who runs, then record.
sound-note-heard = Look it over, then save.

## The spacing, from what was heard
heard-what = What is run
heard-what-lane = Over hurdles
heard-what-free = Free, no hurdles
heard-free-how = A free run over a known distance: lay the phone beside the middle of it. One child runs in and out at an even pace; take the time between the marks.
heard-no-cadence = Too few steps were heard to tell how fast the feet come. Record a longer stretch.
heard-step-title = Step of this run
heard-step-how = The sound gives the steps a second. With distance and time it gives this child's own step.
heard-time-hint = s, by watch
heard-distance-wrong = Distance: { $what }
heard-time-wrong = Time: { $what }
heard-time-missing = Time: missing. Type the seconds from the first mark to the last.
heard-step-range = At { $cadence } steps a second that would be steps of { $step }. Check seconds and distance, or record again.
heard-save-step = Save this step
heard-gap-title = The gap
heard-gap-look = Look first: chopped steps are too close, reaching is too far. It is saved with the run.
heard-gap-not-enough = Not enough was heard to say whether the gap fits.
heard-agree-close = I saw it too: { $gap } is too close for { $name }
heard-agree-right = I saw it too: { $gap } is right for { $name }
heard-agree-far = I saw it too: { $gap } is too far for { $name }

## Kept recordings
sound-keep = Keep the recording { $days } days
sound-keep-on = Kept on this phone until { $date }
sound-not-kept = It could not be kept: { $reason }
sound-kept = Kept recordings
sound-kept-where = On this phone only, never sent. Each is deleted on its day, or by you now.
sound-kept-row = { $name }, lane { $lane }
sound-kept-times = { $date }, { $seconds } s, deleted on { $until }
sound-kept-nobody = No child
sound-delete = Delete
sound-listen-again = Play
