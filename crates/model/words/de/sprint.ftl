# Geschwindigkeiten, Geschwindigkeitskurven, und ob eine Änderung echt ist.

## What measured a time
sprint-timer-gates = Lichtschranken
sprint-timer-video = Film
sprint-timer-tap = Tippen
sprint-timer-stopwatch = Stoppuhr

## Speeds
sprint-speed = { $speed } m/s ({ $low } bis { $high })
sprint-speed-open = { $speed } m/s ({ $low } oder mehr: für diese Zeitmessung ist die Strecke zu kurz)
sprint-fastest = Am schnellsten von { $from } bis { $to }: { $speed }.
sprint-curve = Geschwindigkeitskurve über { $marks } Marken: nähert sich { $v } m/s ({ $v_low } bis { $v_high }), Zeitkonstante { $tau } s ({ $tau_low } bis { $tau_high }). Die Zeiten liegen { $rse } s daneben.

## Why there is no speed curve
sprint-refused-hurdled = Hürdenschritte sind kein freier Sprint: keine Geschwindigkeitskurve aus einem Hürdenlauf.
sprint-refused-hand = Zeiten mit einem Fehler von { $seconds } s reichen für Geschwindigkeiten, nicht für eine Kurve.
sprint-refused-too-fast = Von { $from } bis { $to } ergeben die Zeiten { $speed } m/s: Niemand läuft schneller als { $most } m/s.
sprint-refused-marks = { $marks ->
        [one] Eine Marke in der Beschleunigung ergibt keine Geschwindigkeitskurve.
       *[other] { $marks } Marken in der Beschleunigung ergeben keine Geschwindigkeitskurve.
    }
sprint-refused-free = Zeiten mit einem Fehler von { $seconds } s können die erste Bewegung nicht von der Beschleunigung trennen.
sprint-refused-tau-short = So schnell beschleunigt kein Mensch: Die Uhr scheint zu spät gestartet.
sprint-refused-tau-long = So langsam beschleunigt kein Mensch: Die Uhr scheint zu früh gestartet.
sprint-refused-tau-open = Diese Marken und Zeiten lassen die Beschleunigung offen.

## What would allow one
sprint-allows-flat = Einen Lauf ohne Hürden stoppen.
sprint-allows-gates = Lichtschranken oder Film verwenden, mit höchstens { $seconds } s Fehler.
sprint-allows-right-times = Die Zeiten prüfen, und wo die Marken stehen.
sprint-allows-marks = Mindestens { $needed } Marken stoppen, solange der Lauf noch schneller wird.
sprint-allows-declared = Angeben, was die Uhr gestartet hat, oder auf { $seconds } s oder genauer messen.
sprint-allows-start = Prüfen, was die Uhr gestartet hat, und die ersten Marken.
sprint-allows-more = In den ersten 20 m mehr Marken stoppen oder genauer messen.

## What was assumed or left out
sprint-note-reaction = Als Reaktion auf den Start sind { $seconds } s angenommen; gibt es eine gemessene, diese angeben.
sprint-note-photocell = Angenommen: Die Bewegung begann { $seconds } s, bevor die Lichtschranke auslöste.
sprint-note-free = Die erste Bewegung wurde mit angepasst: Sie ist keine Reaktionszeit.
sprint-note-slower = Marken nach { $to_m } bleiben außerhalb der Kurve: Der Lauf wurde langsamer.
sprint-note-misfit = Die Zeiten liegen { $seconds } s neben der Kurve, mehr als ihre Messung erklärt. Marken und Start prüfen.

## Cells of a table of times that cannot be read
splits-no-column = die Spalte fehlt; die erste Zeile nennt distance_m und time_s
splits-many-cells = die Zeile hat { $cells } Zellen, die erste { $width }
splits-many-cells-comma = die Zeile hat { $cells } Zellen, die erste { $width }; ein Dezimalkomma? 2.5 schreiben oder ; zwischen die Zellen setzen
splits-no-name = der Name fehlt; jede Zeile nennt ihr Kind
splits-range = { $cell } liegt außerhalb; erlaubt ist über 0 bis { $most } { $unit }
splits-no-number = die Zahl fehlt; bitte in { $unit }
splits-not-a-number = „{ $cell }“ ist keine Zahl; so schreiben: 12.5, in { $unit }
splits-start = { $time } s bei 0 m; den Start aus der Tabelle lassen und angeben, was die Uhr startet
splits-no-time = 0 s bei { $distance } m; erlaubt ist über 0
splits-mark-twice = { $distance } m steht schon in Zeile { $line }; eine Zeit für jede Marke
splits-not-later = { $time } s bei { $distance } m ist nicht später als { $before } s bei { $before_distance } m (Zeile { $line })
splits-mistakes = in `{ $path }` sind Fehler
splits-more = … und { $count } weitere
splits-remedy = Nichts wurde berechnet. Berichtigen und noch einmal versuchen (docs/formats/sprint.md).
splits-none = in `{ $path }` steht keine Zeit
splits-none-remedy = Eine Zeile mit einer Marke angeben: distance_m,time_s (docs/formats/sprint.md).
splits-utf8-remedy = Die Datei als UTF-8-Text speichern (docs/formats/sprint.md).

## Change
change-error-own = Aus Wiederholungen von { $children } Kindern dieser Klasse.
change-error-default = Aus dokumentierten Vorgaben: Diese Klasse hat noch zu wenige Wiederholungen.
change-gain = Mehr Gewinn, als zwei Läufe sich sonst unterscheiden.
change-loss = Mehr Verlust, als zwei Läufe sich sonst unterscheiden.
change-not-told = Nicht mehr, als zwei Läufe sich sonst unterscheiden.
