# Die Reihe: mehrere Stunden im Voraus.

## One lesson
unit-lesson = Stunde { $number }, { $date }
unit-check = { $days } Tage seit der letzten Stunde: erst nachsehen.
unit-block = { $minutes } min: { $drill }
unit-block-lanes =
    { $minutes } min: { $drill } in { $count ->
        [one] Bahn
       *[other] den Bahnen
    } { $lanes }
unit-runs = Etwa { $runs } Läufe und { $contacts } Bodenkontakte für jedes Kind.
unit-clean = { $drill }: sitzt danach bei { $mean } der Kinder, in vier von fünf Fällen zwischen { $low } und { $high }.
unit-exit-sprint =
    { $children ->
        [one] Bei einem Kind bleiben dann wohl 90 von 100 Hürden stehen ({ $drill }): ein Endsprint oder mehr Tempo, wenn es sich zeigt.
       *[other] Bei { $children } Kindern bleiben dann wohl 90 von 100 Hürden stehen ({ $drill }): ein Endsprint oder mehr Tempo, wenn es sich zeigt.
    }

## One child
unit-who =
    { $count ->
        [one] { $names }
       *[other] { $count } Kinder ({ $names })
    }
unit-all-open = Alle Übungen sind offen: { $who }.
unit-opens-in = { $drill }, offen in Stunde { $lesson }: { $who }.
unit-opens-between = { $drill }, offen zwischen Stunde { $earliest } und { $latest }: { $who }.
unit-opens-from = { $drill }, frühestens in Stunde { $earliest } offen, innerhalb dieser Stunden in { $share } der Fälle: { $who }.
unit-opens-later = { $drill }, erst nach diesen Stunden offen, innerhalb davon in { $share } der Fälle: { $who }.

## What it rests on
unit-note-own-rate = Aus { $lessons } Stunden dieser Klasse: Etwa { $runs } Läufe bringen ein Kind von 60 auf 88 % (zwischen { $low } und { $high }).
unit-note-usual-rate = Zu wenige Stunden, um zu sagen, wie schnell diese Klasse lernt: Von 60 auf 88 % sind etwa { $runs } Läufe angenommen (zwischen { $low } und { $high }).
unit-note-sketch = Die Stunden nach der nächsten sind Skizzen. Nach jeder Stunde neu planen.
unit-note-technique = Vorhergesagt wird, was kippt, nicht die Technik: hinsehen, bevor ein Kind weitergeht.
unit-note-rests-on = Dass die Erfolgsrate das Lerntempo bestimmt, ist für andere Lernende gezeigt; für Kinder über Hürden ist es eine Annahme.

## What is wrong
unit-error-lesson = Stunde { $number }: { $why }
unit-error-lessons =
    { $count ->
        [one] Eine Stunde
       *[other] { $count } Stunden
    }: Eine Reihe hat 1 bis 12.
unit-error-order = { $after } kommt nicht nach { $before }. Die Tage der Stunden der Reihe nach angeben.
unit-error-draws = { $count } Stichproben der Klasse: Erlaubt sind 20 bis 2000.
