# Die gedruckte Stunde und die Aufgabenkarte einer Station.
# Deutsch. Zahlen bringen ihre Einheit mit: `{ $gap }` ist „1,25 m“ oder „4 ft 1 in“.

## Head
lesson-page-title-class = { $use } für { $class }
lesson-page-min = { $minutes }{"\u00A0"}min
lesson-page-lanes = { $count ->
    [one] 1{"\u00A0"}Bahn
   *[other] { $count }{"\u00A0"}Bahnen
}
lesson-page-hurdles-each = { $hurdles } in jeder Bahn

## Timeline
lesson-page-timeline = Die Minuten der Stunde, maßstäblich
lesson-page-timeline-desc = Von Minute { $from } bis { $to }: { $what }.
lesson-page-timeline-block = Block { $number }, { $drills }
lesson-page-timeline-change = Bahnen werden umgebaut
lesson-page-timeline-reset = Umbau
lesson-page-timeline-spare = nichts geplant
lesson-page-part-free-runs = Freie Läufe
lesson-page-part = { $what } { $minutes }{"\u00A0"}min
lesson-page-before = Vor den Blöcken: { $parts }.

## Lanes and blocks
lesson-page-row-lane = Bahn
lesson-page-row-hurdles = Hürden
lesson-page-row-queue = Reihe
lesson-page-row-setters = stellen auf
lesson-page-row-setter = stellt zuerst auf
lesson-page-row-of = { $number } · { $row }
lesson-page-row-movers = erst Umbau, { $minutes }{"\u00A0"}min
lesson-page-row-easier = leichtere Übung
lesson-page-row-lines = über Bodenlinien
lesson-page-setters = Der Aufstelldienst stellt gekippte Hürden auf; nach höchstens { $runs } Läufen löst das nächste Kind ab.
lesson-page-block = { $number } · { $drill }, { $minutes }{"\u00A0"}min ({ $from }–{ $to })
lesson-page-block-many = { $number } · { $minutes }{"\u00A0"}min ({ $from }–{ $to })
lesson-page-gap-long = weit { $gap }
lesson-page-gap-short = eng { $gap }
lesson-page-drill-gap = { $drill }, { $gap }
lesson-page-easier = { $names }: { $drill }

## What to say, to watch for, and how much each child does
lesson-page-cues = Sagen und beachten
lesson-page-cue = { $drill }: „{ $cue }“
lesson-page-again = { $drill }: wie vorher.
lesson-page-watch = Achten auf: { $fault }.
lesson-page-lead = Das Schwungbein wechselt von Lauf zu Lauf.
lesson-page-each = Jedes Kind etwa { $runs ->
    [one] 1{"\u00A0"}Lauf
   *[other] { $runs }{"\u00A0"}Läufe
}, { $contacts }{"\u00A0"}Bodenkontakte.
lesson-page-range = { $low }–{ $high }

## After the blocks, and what is said when there is room
lesson-page-after = Danach: { $said }
lesson-page-free-runs = Zwei freie Läufe ohne Hürden, { $minutes }{"\u00A0"}min. „{ $cue }“
lesson-page-free-runs-plain = Zwei freie Läufe ohne Hürden, { $minutes }{"\u00A0"}min.
lesson-page-helping = Es helfen: { $jobs }
lesson-page-cautions = Auslauf frei, keine Wand als Ziel. Boden trocken und eben. Jede Hürde kippt bei leichter Berührung. Die Regeln der Schule gehen vor.
lesson-page-start = Am Anfang zeigen und sagen
lesson-page-why = Warum diese Blöcke
lesson-page-why-block = Block { $number }: { $why }
lesson-page-notes = Worauf der Plan beruht

## Task card
lesson-page-card = Deine Aufgabe
lesson-page-card-title = Aufgabenkarte: { $title }

## Short names of drills
lesson-page-drill-spot-single = Beinkreisen, ein Bein
lesson-page-drill-spot-alternate = Beinkreisen am Ort
lesson-page-drill-single-walk = Einseitiges Gehen
lesson-page-drill-dead-leg-run = Einseitiger Lauf
lesson-page-drill-alternate-walk = Wechselseitiges Gehen
lesson-page-drill-alternate-run = Wechselseitiger Lauf
lesson-page-drill-two-contact-walk = Zweikontakt-Gehen
lesson-page-drill-two-contact-run = Zweikontakt-Lauf
lesson-page-drill-side-walk = Seitwärtsgehen
lesson-page-drill-side-run = Seitwärtslauf
lesson-page-drill-side-shuttle = Seitwärts pendeln
lesson-page-drill-free-run = Freier Lauf
