# Coming in with a password, and what keeps the records safe on a device. English.

## Problems
problem-password-in-clear-title = A password sent here could be read on the way.
problem-password-in-clear-detail = This device talks to the program without encryption. Use the password in a browser on the computer where the program runs, or start the program with a certificate; a link that works once does without it.
problem-password-wrong-title = That did not let you in.
problem-password-wrong-detail = Look at capital letters and spaces, and try once more. A coach who is in can make a link, or set the password anew.
problem-password-wait-title = Too many passwords were tried.
problem-password-wait-detail = { $seconds ->
    [one] The next one is looked at in a second. A link that works once opens at any time.
   *[other] The next one is looked at in { $seconds } seconds. A link that works once opens at any time.
}
problem-password-short-title = This password is too short.
problem-password-short-detail = It needs at least { $signs } signs. Three or four words that have nothing to do with each other are good and easy to remember.
problem-password-long-title = This password is too long.
problem-password-long-detail = At most { $signs } signs can be kept.
problem-password-common-title = This password is among the first that anybody tries.
problem-password-common-detail = Take another one. Three or four words that have nothing to do with each other are good and easy to remember.

## Coming in with a password
safe-password-enter-label = Or: the school's password, if it has one
safe-password-enter = Come in
safe-password-looking = One moment …
safe-password-in = You are in. What was kept on this device is being sent.
safe-password-missing = Type the password first.
safe-password-show = Show
safe-password-hide = Hide
safe-password-no-answer = The program does not answer. Nothing was changed: try again when it runs.
safe-password-needs-tls = With a password one comes in only where nobody can read along: at an address that begins with https, or on the program's own computer.

## Setting a password
safe-password-title = A password for the school
safe-password-none = There is none: phones come in with a link. With a password, a coach comes in on a new phone when nobody is there to make a link.
safe-password-since = Set on { $day }. Whoever knows it comes in as a coach, and sees and changes everything.
safe-password-not-here = It can be set only where nobody can read along: at an address that begins with https, or on the program's own computer.
safe-password-set = Set a password
safe-password-change = Change it
safe-password-how = At least { $signs } signs; 15 or more are better. Three or four words that have nothing to do with each other are easy to remember. Spaces count. Write it down where you keep keys.
safe-password-new = New password
safe-password-others = Sign out all other phones and take back links that wait
safe-password-cancel = Leave as it is
safe-password-away = Take it away
safe-password-away-what = Then nobody comes in with a password any more. Phones that are in stay in.
safe-password-keep = Keep it
safe-password-said-set = The password is set.
safe-password-said-away = The password is gone.

## What keeps the records safe
safe-not-saved-no-room = NOT saved: this device has no room left. What was saved before stays. Free some room, then try once more.
safe-no-room = This device has no room left, so nothing new is saved. What was saved before is safe. Save a copy somewhere else if you like, delete pictures or films from this device, and go on: this line goes away when there is room again.
safe-not-kept-not-secure = This address has no certificate, so the app opens on this device only while the program answers. What you record is kept on this device all the same. With an address that begins with https the app opens without a network too.
safe-not-kept-not-here = This browser does not keep the app for use without a network, perhaps because this is a private window. What you record is kept while the window is open. Use an ordinary window of a current browser.
safe-not-kept-failed = The app could not be kept on this device for use without a network; there may be too little room. Recording works, and what you record is kept. Before you go where there is no network: free some room, then try again here.
safe-not-kept-again = Try again
safe-not-kept-understood = Understood

## How long things are kept
safe-keep-title = How long things are kept
safe-keep-lead = What is old helps nobody, and what is not there cannot get lost. Nothing goes before you have seen here what goes.
safe-keep-seen = What was seen: runs, times, sizes, who was there
safe-keep-off = Children who were taken off their list, or whose class was taken off
safe-keep-always = Until somebody erases it
safe-keep-years = { $count ->
    [one] One year
   *[other] { $count } years
}
safe-keep-days = { $count ->
    [one] One day
   *[other] { $count } days
}
safe-keep-stays = Children on a list, classes, kit and floor stay in any case. Copies you saved or printed stay, and backups until they run out.
safe-keep-goes-now = By this rule, this is too old and goes for good:
safe-keep-nothing-now = By this rule, nothing that is here goes now.
safe-keep-next = The next to go does so on { $day }, and then day by day.
safe-keep-when = It goes when the program next starts, or within a day while it runs, and from every device when it next meets the program. Until then the rule can be taken back.
safe-keep-save-goes = Let it go by this rule
safe-keep-said = The rule for how long things are kept is saved.
safe-keep-off-title = On no list any more
safe-keep-off-why = These were taken off a list, or their class was. They are hidden, and still here with all that was seen of them.
safe-keep-off-since = { $name }, since { $day }
safe-keep-off-erase = Erase all of these
