# Deutsch. Eine Meldung je Zeile; was zusammengehört, steht beieinander.
# Zahlen bringen ihre Einheit mit: `{ $gap }` ist „1,25 m“ oder „4 ft 1 in“.

## Drills
drill-spot-single = Beinkreisen am Ort, ein Bein
drill-spot-alternate = Beinkreisen am Ort im Wechsel
drill-single-walk = Einseitiges Gehen
drill-dead-leg-run = Einseitiger Lauf
drill-alternate-walk = Wechselseitiges Gehen
drill-alternate-run = Wechselseitiger Lauf
drill-two-contact-walk = Zweikontakt-Gehen
drill-two-contact-run = Zweikontakt-Lauf
drill-side-walk = Seitwärtsgehen
drill-side-run = Seitwärtslauf
drill-side-shuttle = Seitwärts pendeln mit Wende auf Zuruf
drill-free-run = Freier Lauf

## How each one goes, and what to call out
drill-spot-single-how = Aufrecht neben einer Wand stehen; ein Fuß kreist: Fuß anziehen, Ferse unter die Hüfte, Knie hoch, Fuß unter dem Körper absetzen.
drill-spot-single-cue = Fuß hoch, Ferse hoch, drüber.
drill-spot-alternate-how = Dasselbe Kreisen, links und rechts im Wechsel, die Arme wie beim Laufen.
drill-spot-alternate-cue = Fußspitze hoch, leicht und schnell.
drill-single-walk-how = Neben den Hürden gehen; nur das nahe Bein geht darüber, der andere Fuß setzt auf Höhe jeder Hürde auf.
drill-single-walk-cue = Drüber, nicht außen herum.
drill-dead-leg-run-how = Neben den Hürden laufen; das äußere Bein bleibt lang, das nahe Bein kreist über jede Hürde.
drill-dead-leg-run-cue = Hüfte, Knie und Fuß in einer Linie.
drill-alternate-walk-how = Über die Mitte gehen; jeder Schritt geht über eine Hürde, links und rechts im Wechsel.
drill-alternate-walk-cue = Groß bleiben, Fußspitze hoch.
drill-alternate-run-how = Über die Mitte laufen; jeder Schritt geht über eine Hürde, links und rechts im Wechsel.
drill-alternate-run-cue = Groß und schnell, Fuß unter den Körper.
drill-two-contact-walk-how = Darübergehen; zwei Bodenkontakte in jedem Abstand, sodass immer dasselbe Bein führt. Das Schwungbein von Lauf zu Lauf wechseln.
drill-two-contact-walk-cue = Eins, zwei, drüber.
drill-two-contact-run-how = Die Bahn des wechselseitigen Laufs, langsamer, mit schnellen kurzen Schritten: zwei Bodenkontakte in jedem Abstand, dasselbe Bein führt.
drill-two-contact-run-cue = Schnelle Füße: eins, zwei, drüber.
drill-side-walk-how = Seitlich stehen; erster Fuß drüber, zweiter Fuß drüber, die Hüfte zeigt die ganze Zeit nach vorn.
drill-side-walk-cue = Hüfte und Brust nach vorn.
drill-side-run-how = Seitwärts im Laufrhythmus, leicht auf den Fußballen.
drill-side-run-cue = Leicht und auf einer Höhe.
drill-side-shuttle-how = Seitwärts hin und her; auf Zuruf wechselt die Richtung mit einem Schritt. 5 bis 30 Sekunden.
drill-side-shuttle-cue = Ein Schritt und zurück.
drill-free-run-how = Genauso laufen, ohne Hürden, mit demselben Bild im Kopf.
drill-free-run-cue = Lauf, als ob sie da wären.

## Settings
setting-long = weiter Abstand
setting-short = enger Abstand
