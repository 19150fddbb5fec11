# What the server says: when it starts, and when it refuses. English.
# Every problem has a title and a detail; the detail says what to do.

## Start
server-open = Open this link in a browser on this computer:
server-open-network = Open this link in a browser on the phone, tablet or computer:
server-open-once = It works once, for 24 hours at most, and stops working at the next start. Let other phones in from the app: tap how safe your data is, then "Let another phone in".
server-data = The data is kept in { $folder }.
server-stop = Stop with Ctrl-C. Nothing that was confirmed is lost.
server-demo = The demo class is in it. All its children are invented.
server-plain-network = This address has no certificate, so on phones and tablets the app opens only while this program runs and the network holds, browsers refuse the microphone, and others on the network could read along.
server-plain-network-remedy = For more than a trial, get a certificate for the name of this computer and start with --tls-cert CERTIFICATE.pem --tls-key KEY.pem.
server-names = Browsers may also use the name { $names }.

## Problems
problem-stranger-host-title = This address is not known here.
problem-stranger-host-detail = Use exactly the address that the program printed when it started. To allow another name for this computer, start it with --host NAME.
problem-other-origin-title = This request came from another page.
problem-other-origin-detail = Open Lanewright at the address that the program printed, and try again from there.
problem-forwarded-title = This request was forwarded.
problem-forwarded-detail = Another program stands between this browser and Lanewright. Open the address that the program printed without a proxy in between.
problem-session-needed-title = This browser has no session here.
problem-session-needed-detail = Open the one-time link that the program printed when it started, or one that a coach made. What was entered on this device stays on it until then.
problem-link-spent-title = This link no longer works.
problem-link-spent-detail = A link works once and for a limited time. Ask a coach who is in for a new one, or start the program again.
problem-link-preview-title = This link was looked at before it was opened.
problem-link-preview-detail = It has not been used up. Open it in a browser.
problem-not-found-title = There is nothing here.
problem-not-found-detail = Open the start page and go on from there.
problem-other-method-title = This address does not take such a request.
problem-other-method-detail = Reload the page so that app and server fit together.
problem-not-json-title = This is not JSON.
problem-not-json-detail = Send the content type application/json.
problem-too-large-title = This is too much at once.
problem-too-large-detail = Send fewer records in one push: at most { $records } of them and { $megabytes } MB.
problem-not-records-title = These records cannot be read.
problem-not-records-detail = The mistake is in line { $line }, column { $column }. Nothing was stored. Reload the page so that app and server fit together.
problem-not-a-cursor-title = This is not a place to read on from.
problem-not-a-cursor-detail = Ask with whole numbers: after, from 0, and limit, from 1.
problem-too-slow-title = This took too long.
problem-too-slow-detail = Try again. What was confirmed before is safe.
problem-app-missing-title = The app is not built.
problem-app-missing-detail = Build and start it with cargo xtask start.
problem-store-failed-title = The data cannot be reached.
problem-store-failed-detail = Nothing was stored. Look at what the program printed, and see that the disk is not full.
problem-to-start-page = Go to the start page
