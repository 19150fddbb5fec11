# draw: Zeichnungen und gedruckte Seiten
# Deutsch. Zahlen bringen ihre Einheit mit: `{ $gap }` ist „1,25 m“ oder „4 ft 1 in“.

## Lane strip
draw-lane = Bahn { $lane }
draw-one-gap = Abstand { $gap }
draw-two-gaps = weit { $long }, eng { $short }
draw-hurdles = { $count ->
    [one] 1 Hürde, { $height }
   *[other] { $count } Hürden, { $height }
}
draw-lines = { $count ->
    [one] 1 Bodenlinie
   *[other] { $count } Bodenlinien
}
draw-floor-line = Linie
draw-start-left = L
draw-start-right = R
draw-run-up = Anlauf { $room }
draw-exit = { $room } weiterlaufen
draw-stop-long = { $room } Auslauf, frei halten
draw-stop = { $room } Auslauf
draw-margin = { $room } frei
draw-room = { $room }
draw-row-long = weit
draw-row-short = eng
draw-row-tape = Band
draw-waiting = hier warten
draw-strip-title = Bahn { $lane }, maßstäblich
draw-strip-desc = Von der Startlinie in Laufrichtung: { $runup } Anlauf, { $hurdles }, { $exit } zum Weiterlaufen, dann { $stop } Auslauf. Die Bahn bis { $free } ab der Startlinie frei halten.
draw-strip-desc-long = Weiter Abstand { $gap }, Hürden bei { $marks } ab der Startlinie.
draw-strip-desc-short = Enger Abstand { $gap }, Hürden bei { $marks } ab der Startlinie.
draw-strip-desc-marks = Hürden bei { $marks } ab der Startlinie.
draw-strip-desc-names = In dieser Bahn: { $names }.

## Floor plan
draw-floor-title = Die Bahnen auf der Fläche, maßstäblich
draw-floor-desc = { $count ->
    [one] Eine Bahn
   *[other] { $count } Bahnen
} auf einer Fläche von { $length } mal { $width }.
draw-floor-desc-open = { $count ->
    [one] Eine Bahn, keine Fläche angegeben.
   *[other] { $count } Bahnen nebeneinander, keine Fläche angegeben.
}
draw-floor-desc-fits = Alles passt mit Auslauf; nötig sind { $length } mal { $width }.
draw-floor-desc-fits-not = Es passt nicht: Nötig sind { $length } mal { $width }.
draw-floor-desc-lane = Bahn { $lane }: Abstand { $gap }, { $hurdles }, { $stop } Auslauf.
draw-scale-metres = Maßstab: Meter
draw-scale-feet = Maßstab: Fuß
draw-scale-metres-from = Maßstab: Meter ab dem Startende der Fläche
draw-scale-feet-from = Maßstab: Fuß ab dem Startende der Fläche
draw-scale-tape = unter jeder Bahn: Maßband ab ihrer Startlinie
draw-legend-waiting = Bahn, Warteplatz
draw-legend-hurdle = Hürde
draw-legend-other = Marke für den anderen Abstand
draw-legend-side = Seitenstreifen, frei halten
draw-legend-stop = Auslauf, wird nie gekürzt
draw-legend-margin = Sicherheitsrand
draw-legend-back = Rückweg
draw-legend-wall = Wand
draw-legend-over = passt nicht

## Gaps
draw-gaps-title = Eigener Abstand jedes Kindes und Abstand der Bahn
draw-gaps-axis-m = Abstand, m
draw-gaps-axis-ft = Abstand, ft und in
draw-gap-title = Eigener Abstand von { $name }
draw-gap-lane = Bahn { $lane } · { $gap }
draw-gap-desc-measured = Eigener Abstand { $gap }, gemessen, wahrscheinlich zwischen { $low } und { $high }. Bahn { $lane } hat { $lanegap }.
draw-gap-desc-guessed = Eigener Abstand { $gap }, aus der Größe geschätzt, wahrscheinlich zwischen { $low } und { $high }. Bahn { $lane } hat { $lanegap }.
draw-legend-guessed = aus der Größe geschätzt
draw-legend-measured = gemessen
draw-legend-range = wahrscheinlicher Bereich (9 von 10)
draw-legend-lane-gap = Abstand der Bahn

## Where the feet go
draw-foot-left = L
draw-foot-right = R
draw-foot-left-said = links
draw-foot-right-said = rechts
draw-feet-title = { $drill }: wohin die Füße kommen
draw-feet-leads = führt
draw-feet-works = arbeitet
draw-feet-contacts = { $gap } · { $count ->
    [one] 1 Kontakt je Abstand
   *[other] { $count } Kontakte je Abstand
}
draw-feet-both-ways = hin und zurück
draw-feet-call = Zuruf
draw-feet-turn = Wende auf Zuruf
draw-feet-spot-one = am Ort, ein Bein arbeitet
draw-feet-spot-turns = am Ort, links und rechts im Wechsel
draw-feet-free = ohne Hürden
draw-feet-desc-crossed = Von oben gesehen: { $hurdles } Hürden, { $gap }. { $count ->
    [one] Ein Bodenkontakt in jedem Abstand.
   *[other] { $count } Bodenkontakte in jedem Abstand.
}
draw-feet-desc-in-turn = Links und rechts führen im Wechsel über die Hürden: { $legs }.
draw-feet-desc-same = Über jede Hürde führt { $leg } und setzt zuerst auf. Wer von der anderen Marke startet, führt mit dem anderen Fuß.
draw-feet-desc-one-leg = Über jede Hürde geht { $leg }. Daneben bleibt { $other } und setzt auf Höhe jeder Hürde auf. Dann arbeitet das andere Bein.
draw-feet-desc-sideways = Die Fußspitzen zeigen quer zur Bahn. Zuerst geht { $leg } hinüber, dann { $other }.
draw-feet-desc-both-ways = Es geht hin und zurück; auf dem Rückweg beginnt der andere Fuß.
draw-feet-desc-turn = Auf Zuruf wechselt die Richtung.
draw-feet-desc-spot-one = Von oben gesehen: Alle bleiben am Ort. Es steht { $other }, es kreist { $leg }. Dann arbeitet das andere Bein.
draw-feet-desc-spot-turns = Von oben gesehen: Alle bleiben am Ort. Linker und rechter Fuß kreisen im Wechsel.
draw-feet-desc-free = Von oben gesehen: Laufschritte ohne Hürden, links und rechts im Wechsel.

## Printed plan
draw-plan-title = { $count ->
    [1] Eine Bahn für { $class }
    [2] Zwei Bahnen für { $class }
    [3] Drei Bahnen für { $class }
    [4] Vier Bahnen für { $class }
    [5] Fünf Bahnen für { $class }
    [6] Sechs Bahnen für { $class }
   *[other] { $count } Bahnen für { $class }
}
draw-effort = Tempo { $effort } vom Höchsttempo
draw-children = { $count ->
    [one] 1{"\u00A0"}Kind
   *[other] { $count }{"\u00A0"}Kinder
}
draw-for-children = { $count ->
    [one] einem Kind
   *[other] { $count }{"\u00A0"}Kindern
}
draw-note-one-child = Ein Hinweis zur Sicherheit eines Kindes steht im Programm.
draw-floor-size = Fläche { $length } × { $width }
draw-notes = Bitte beachten
draw-more-notes = { $count ->
    [one] Ein weiterer Hinweis steht im Programm.
   *[other] { $count } weitere Hinweise stehen im Programm.
}
draw-and-more = und { $count } weitere
draw-caution-fits-not = Dieser Plan passt nicht auf die Fläche. Vor dem Aufbauen ändern; nie den Auslauf kürzen.
draw-caution-stop = Der Auslauf bleibt frei: keine Taschen, keine Kinder, keine Wand als Ziel.
draw-caution-check = Boden auf Wasser, Staub und Kanten prüfen; jede Hürde oder Ersatzhürde kippt bei leichter Berührung.
draw-caution-rules = Die Regeln der Schule und der Rat von Fachleuten gehen diesem Blatt vor.
draw-col-lane = Bahn
draw-col-gap = Abstand
draw-col-long-gap = weit
draw-col-short-gap = eng
draw-col-hurdles = Hürden
draw-col-height = Höhe
draw-col-stop = Auslauf
draw-col-children = Kinder, kürzeste Schritte zuerst
draw-units-metric = m: Meter, cm: Zentimeter
draw-units-feet = ft oder ': Fuß, in oder ": Zoll
draw-made-with = { $software }; Methoden { $methods }
draw-page-of = Seite { $page } von { $pages }

## Setting out
draw-out-title = Bahnen aufbauen
draw-out-step-tape = Das Maßband an der Startlinie einhaken und liegen lassen: Jede Zahl ist ein Abstand von der Startlinie.
draw-out-step-marks = Einmal am Maßband entlanggehen und bei jeder Zahl eine Marke legen.
draw-out-step-two = Dreiecke gelten für den weiten, Kreise für den engen Abstand; wo beide zusammenfallen, genügt eine Marke.
draw-out-step-starts = L ist die Startlinie, R liegt einen Schritt weiter: Wer von der anderen Marke startet, beginnt mit dem anderen Bein.
draw-out-step-stop = Je einen Kegel neben die Ziellinie stellen und von dort bis zur letzten Zahl alles frei halten.
draw-out-step-try = Das erste und das letzte Kind jeder Bahn erst gehen, dann einmal laufen lassen, bevor die anderen starten.
draw-marks-title = Marken für jede Bahn
draw-marks-how = Jede Liste von oben nach unten lesen und am Maßband entlanggehen.
draw-cord-how = Eine Schnur spart das beim nächsten Mal: erst den Startknoten, dann Knoten um Knoten, jeden im angegebenen Abstand vom vorigen; den Startknoten auf die Startlinie legen und an jeden Knoten eine Hürde stellen.
draw-cord-shared = Für die Bahnen { $lanes } genügt eine Schnur.
draw-shoes-how = Schuhe: Ferse an Spitze ab der Startlinie, mit einem Schuh von { $shoe }, auf den halben Schuh genau (bis { $half } daneben). Besser mit Maßband, wenn eins da ist.
draw-shoes-none = Mit der eigenen Schuhlänge im Programm stehen die Marken auch in Schuhlängen da.
draw-col-mark = Marke
draw-col-long = weit
draw-col-short = eng
draw-col-tape = Band
draw-col-shoes = Schuhe
draw-col-knot = Knoten
draw-mark-start-left = Start L
draw-mark-start-right = Start R
draw-mark-hurdle = Hürde
draw-mark-hurdle-n = Hürde { $number }
draw-mark-exit = Ziellinie
draw-mark-free = Frei bis
draw-knot = { $number } · { $more }
draw-knot-start = Start
