# Letting other devices in, what each may do, and what the server says about it. English.

## Problems
problem-coach-only-title = Only a coach may do this.
problem-coach-only-detail = This device was let in as a helper. Ask the coach to do it on their own phone.
problem-link-in-clear-title = A link made here could be read on the way.
problem-link-in-clear-detail = This phone talks to the program without encryption, so others on the network could take the link first. Make it in a browser on the computer where the program runs, or start the program with a certificate.
problem-too-many-links-title = Enough links are open.
problem-too-many-links-detail = At most { $links } wait at a time. Use one, take them back, or wait: each ends after { $minutes } minutes.
problem-not-understood-title = This cannot be read.
problem-not-understood-detail = Nothing was changed. Reload the page so that app and server fit together.

## Letting another phone in
devices-title = Let another phone in
devices-lead = Make a link for one phone. It opens the link, and it is in: no account, no password.
devices-who = Who is it for?
devices-helper = A helper
devices-coach = A second coach
devices-helper-may = A helper records runs, times and turns. The phone gets names, today's lanes and today's runs; it never gets a size, a sex or a date of birth.
devices-coach-may = A second coach sees and changes everything, as you do.
devices-lanes = In which lanes?
devices-lanes-all = All
devices-label = Name of the phone
devices-label-hint = not needed
devices-make = Make a link
devices-link-helper = A link for a helper
devices-link-coach = A link for a second coach
devices-link-once = { $minutes ->
    [one] Point the other phone's camera at the square. The link works once, within a minute.
   *[other] Point the other phone's camera at the square. The link works once, within { $minutes } minutes.
}
devices-address = Under which address?
devices-qr = The link as a square for a camera
devices-another = Make another link
devices-copy = Copy the link
devices-said-copied = The link is copied.
devices-said-selected = This browser does not copy by itself. The link is marked: hold a finger on it, then copy.
devices-no-answer = The program does not answer. Links are made by it: try again when it runs.
devices-here-only = The program listens on this computer only, so another phone cannot reach it. A link from here opens in another browser on this computer. To let phones in, stop the program and start it just as before, with all that stood behind it, and this added, in place of any other --addr:
devices-in-clear = This address has no certificate: others on the network can read along, and could take a link first. Use it for a trial with invented names.
devices-tls-brings = With a certificate nobody can read along, phones keep working without a network, and the microphone may be used. For that, add:

## The devices that are in
devices-in-title = Phones that are in
devices-number = Phone { $number }
devices-this = This one
devices-role-coach = Coach: everything
devices-role-helper = Helper: all lanes
devices-role-helper-lanes = Helper: { $count ->
    [one] lane { $lanes }
   *[other] lanes { $lanes }
}
devices-days = In since { $since }, last seen { $seen }
devices-sign-out = Sign out
devices-sign-out-asks = That phone may hold entries that are not sent yet. They stay on it and arrive after a new link.
devices-sign-out-not = Leave it in
devices-sign-out-others = Sign out all others and take back links that wait
devices-waiting = { $count ->
    [one] One link waits.
   *[other] { $count } links wait.
}
devices-take-back = Take back
devices-stays = Who is signed out gets and sends nothing more. What is on that phone stays there: clear the site's data in its browser.

## On a helper's phone
devices-you-help = This phone helps at the lanes: it records runs, times and turns.
devices-you-help-lanes = This phone helps at { $count ->
    [one] lane { $lanes }
   *[other] lanes { $lanes }
}: it records runs, times and turns there.
devices-out-title = This phone was signed out
devices-out-helper = { $count ->
    [0] Nothing waits here unsent. Ask the coach for a new link.
    [one] One entry waits here. Ask the coach for a new link: it is sent then.
   *[other] { $count } entries wait here. Ask the coach for a new link: they are sent then.
}
devices-out-coach = { $count ->
    [0] Nothing waits here unsent. Open a new link, from another coach’s phone or from the program as it starts.
    [one] One entry waits here. Open a new link, from another coach’s phone or from the program as it starts: it is sent then.
   *[other] { $count } entries wait here. Open a new link, from another coach’s phone or from the program as it starts: they are sent then.
}
devices-not-here-title = Not on this phone
devices-not-here = This phone helps at the lanes. The class list, sizes and the plan are on the coach's phone.
devices-no-lanes-title = No lanes yet
devices-no-lanes = The lanes come from the coach's phone. Ask the coach to open the app there while both phones reach the program.
app-refused-other-role = The server refused an entry, because this phone may only record runs, times and turns. It stays on this phone. Ask the coach to enter it.
app-refused-other-lane = The server refused an entry, because this phone may not record in that lane. It stays on this phone. Ask the coach to enter it, or for a link for that lane.
