# Was die Kommandozeile außer den Wörtern der Berechnungen schreibt: Tabellen, und Ablehnungen einer Klassenliste.

## What a gap rests on
cli-basis-measured-steps = gemessene Schritte
cli-basis-tried-gaps = probierte Abstände
cli-basis-stature = Größe
cli-basis-line-up = Reihe nach Größe
cli-basis-leg-length = Beinlänge
cli-basis-age-and-sex = Alter und Geschlecht
cli-basis-age = Alter
cli-basis-the-rest-of-the-class = übrige Klasse
cli-basis-nothing-yet = noch nichts

## Decisions
cli-decide-how = Von 100 Hürden bleiben so viele wohl stehen; der Bereich in Klammern gilt in neun von zehn Fällen. Wer wenig gesehen wurde, wird zum Teil nach der Klasse beurteilt. „Weiter“ verlangt die Zahl in der Zeile mit einer Wahrscheinlichkeit von mehr als { $asked }, und die Technik in zwei angesehenen Läufen richtig. Jede Übung gilt, wie sie am Ende der Stunde stand, in der das Kind dort zuletzt gesehen wurde, wie auf den Karten.
cli-decide-how-at = Von 100 Hürden bleiben so viele wohl stehen; der Bereich in Klammern gilt in neun von zehn Fällen. Wer wenig gesehen wurde, wird zum Teil nach der Klasse beurteilt, und ältere Läufe zählen weniger. „Weiter“ verlangt die Zahl in der Zeile mit einer Wahrscheinlichkeit von mehr als { $asked }, und die Technik in zwei angesehenen Läufen richtig.
cli-stay-up = { $mean } von 100 ({ $low } bis { $high })

## Odds
cli-odds = { $times }-fach ({ $low } bis { $high })
cli-odds-head = Wie viel leichter eine Hürde kippt (1-fach: kein Unterschied), mit Bereich, aus { $runs ->
    [one] einem Lauf
   *[other] { $runs } Läufen
}:
cli-odds-lead = linkes Bein gegen rechtes
cli-odds-order = jeder weitere Lauf
cli-odds-position = letzte Hürde gegen erste
cli-odds-carry = nach einer gekippten Hürde
cli-suspects = Hürden, die schlechter stehen könnten als die anderen, die auffälligsten zuerst:
cli-suspect = Bahn { $lane } Hürde { $hurdle } { $setup } { $knocks } von { $met } gekippt, { $odds }

cli-suspect-no-lane = Hürde { $hurdle } { $setup } { $knocks } von { $met } gekippt, { $odds }

## Recordings
cli-unreadable = Die Aufnahme lässt sich nicht lesen: { $why }.
cli-undecodable = Die Aufnahme lässt sich nicht entschlüsseln: { $why }. WAV, FLAC, OGG/Vorbis, MP3 und M4A/AAC gehen; noch einmal aufnehmen oder kopieren.
cli-why-no-recording = sie ist keine Aufnahme einer bekannten Art
cli-why-damaged = sie ist beschädigt
cli-why-no-sound = sie enthält keinen Ton
cli-why-rate = ihre Abtastrate wechselt mittendrin
cli-crossing-beyond = Die erste Überquerung bei { $seconds } s liegt hinter der Aufnahme, die nach { $length } s endet. Den Zeitpunkt ab Beginn der Aufnahme angeben.

## Refusals of a class list
cli-list-look = In der Klassenliste { $places ->
    [one] ist eine Stelle
   *[other] sind { $places } Stellen
} anzusehen:
cli-list-place = Zeile { $line }, Spalte { $column }: { $said }
cli-list-more = und { $count } weitere
cli-nothing-planned = Nichts ist geplant.

## Files
cli-over-input = { $flag } würde `{ $path }` überschreiben, und daraus wird hier gelesen.
cli-over-output = { $flag } und { $other } würden beide `{ $path }` schreiben.
cli-over-data = `{ $path }` sind die Daten selbst.
cli-over-other = `{ $path }` gibt es schon, und es ist kein Export dieser Form.
cli-is-folder = `{ $path }` ist ein Ordner.
cli-write-elsewhere = Einen anderen Namen angeben. Es wurde nichts geschrieben.

## Run files
cli-run-line = Zeile { $line } ({ $day })
cli-run-ahead = { $count ->
    [one] Ein Lauf liegt nach der Uhr dieses Computers in der Zukunft und bleibt weg: { $lines }.
   *[other] { $count } Läufe liegen nach der Uhr dieses Computers in der Zukunft und bleiben weg: { $lines }{ $more ->
        [0] .
       *[other] {" "}und { $more } weitere.
    }
}
cli-run-all-ahead = alle Läufe liegen nach der Uhr dieses Computers in der Zukunft, sie zeigt { $today }: { $lines }
cli-run-ahead-remedy = Die Daten der Läufe oder die Uhr richtigstellen.
cli-run-named = { $name } ({ $count ->
    [one] Zeile
   *[other] Zeilen
} { $lines })
cli-run-drills = { $count ->
    [one] Diese Übung steht nicht auf der Leiter, ihr Platz unter den anderen ist unbekannt: { $names }.
   *[other] Diese Übungen stehen nicht auf der Leiter, ihr Platz unter den anderen ist unbekannt: { $names }{ $more ->
        [0] .
       *[other] {" "}und { $more } weitere.
    }
}
cli-run-drill-near = Ist { $near } gemeint?
cli-run-class = { $class } ({ $count ->
    [one] 1 Zeile
   *[other] { $count } Zeilen
})
cli-run-classes = { $path } hat mehrere Klassen: { $classes }{ $more ->
    [0] .
   *[other] {" "}und { $more } weitere.
} { $runner } aus der Klassenliste kommt in mehr als einer vor: es können zwei Kinder sein.
cli-run-classes-remedy = Mit --runs-of angeben, welche Klasse der Datei diese Liste ist; mit Kommas, wenn ein Kind die Klasse gewechselt hat.
cli-run-class-none = { $path } hat keine Klasse { $class }. Vorhanden: { $count ->
    [0] keine mit Namen.
   *[other] { $classes }{ $more ->
        [0] .
       *[other] {" "}und { $more } weitere.
    }
}
cli-run-other-file = `{ $path }` ist keine Laufdatei: keine Zeile ist ein JSON-Objekt. Eine Klassenliste gehört zu --class.
cli-run-line-like = { $line } wie { $like }
cli-run-repeated = { $count ->
    [one] 1 Zeile wiederholt eine andere
   *[other] { $count } Zeilen wiederholen eine andere
} auf die Sekunde, und jede zählt: { $lines }{ $more ->
    [0] .
   *[other] {" "}und { $more } weitere.
} Wurde die Datei doppelt zusammengesetzt, eine Kopie herausnehmen.
cli-file-unreadable = `{ $path }` lässt sich nicht lesen: { $why }
cli-file-unreadable-remedy = Den Namen prüfen; `-` liest von der Standardeingabe.
cli-file-unwritable = `{ $path }` lässt sich nicht schreiben: { $why }
cli-file-unwritable-remedy = Prüfen, ob es den Ordner gibt und ob man dort schreiben darf.
cli-why-not-there = die Datei oder den Ordner gibt es nicht
cli-why-not-allowed = das ist nicht erlaubt
cli-why-folder = das ist ein Ordner
cli-none-heard = keine der Aufnahmen lässt sich lesen
cli-none-heard-remedy = Namen und Art prüfen; `-` liest von der Standardeingabe.
cli-run-strangers = { $count ->
    [one] Dieses Kind der Laufdatei steht nicht in der Klassenliste: { $names }.
   *[other] Diese Kinder der Laufdatei stehen nicht in der Klassenliste: { $names }{ $more ->
        [0] .
       *[other] {" "}und { $more } weitere.
    }
}

## Lines of a run file that cannot be read
run-bad-line = Zeile { $line }: { $problem }
run-missing = `{ $key }` fehlt; bitte ergänzen
run-missing-at = `at` fehlt; die Zeit ergänzen, so: 2026-03-02T10:14:05Z
run-bad-at = `at` ist { $value }; Datum, Uhrzeit und Zone schreiben, so: 2026-03-02T10:14:05Z
run-missing-hurdles = `hurdles` fehlt; ergänzen, wie viele die Bahn hat
run-range = `{ $key }` ist { $value }; erlaubt ist { $low } bis { $high }{ $unit }
run-above-nought = `{ $key }` ist { $value }; erlaubt ist über 0 bis { $most }
run-no-such-hurdle = `{ $key }` nennt Hürde { $hurdle }, aber die Bahn hat die Hürden 1 bis { $hurdles }
run-fell-and-lay = Hürde { $hurdle } steht in `knocked` und in `down_before`; was schon lag, kann nicht kippen
run-sweep-seen = `seen` muss bei sweep got-it oder not-yet sein
run-bout-missing = `{ $key }` fehlt; bout hat passes, turns, one_step_turns, seconds
run-bout-turns = `one_step_turns` ist { $value }, mehr als die { $turns } in `turns`
run-missing-seconds = `seconds` fehlt; die Dauer in Sekunden ergänzen
run-kind = `kind` ist { $value }; erlaubt ist run, sweep oder bout
run-unfit = `{ $key }` ist { $value }; { $want }
run-want-text = Text in Anführungszeichen schreiben
run-want-count = eine ganze Zahl schreiben, etwa 8
run-want-effort = eine Zahl über 0 bis 1 schreiben
run-want-metres = Meter schreiben, etwa 1.25
run-want-centimetres = Zentimeter schreiben, etwa 30
run-want-seconds = Sekunden schreiben, etwa 15
run-want-yes-or-no = true oder false schreiben
run-want-hurdles = die Nummern der Hürden schreiben, etwa [3,4]
run-want-faults = eine Liste von Fehlern schreiben, etwa ["leans-back"]
run-want-leg = left oder right schreiben
run-want-watched = knocks oder technique schreiben
run-want-source = tap, sound oder paper schreiben
run-key-twice = das ist kein Lauf: Ein Schlüssel steht zweimal darin; ein Lauf ist ein JSON-Objekt in einer Zeile mit runner, drill, at, hurdles
run-none = das ist kein Lauf; ein Lauf ist ein JSON-Objekt in einer Zeile mit runner, drill, at, hurdles
run-cut = das ist kein Lauf: Ab Zeichen { $sign } nicht zu lesen; ein Lauf ist ein JSON-Objekt in einer Zeile mit runner, drill, at, hurdles
cli-run-bad = in `{ $path }` { $count ->
    [one] ist eine Zeile
   *[other] sind { $count } Zeilen
} nicht zu lesen
cli-run-bad-more = … und { $count } weitere
cli-run-bad-remedy = Berichtigen oder mit --skip-bad übergehen.
cli-run-passed-over = übergangen: { $line }
cli-run-passed-over-more = { $count ->
    [one] eine weitere Zeile
   *[other] { $count } weitere Zeilen
} übergangen
cli-run-none = in `{ $path }` steht kein Lauf
cli-run-none-remedy = Ein Lauf ist ein JSON-Objekt in einer Zeile (docs/formats/runs.md).
cli-run-no-knock = in diesen Läufen kippte keine Hürde, also gibt es nichts zu erklären
cli-not-utf8 = `{ $path }`, Zeile { $line }: das ist kein UTF-8-Text
cli-run-utf8-remedy = Die Datei als UTF-8 speichern, ein Lauf in jeder Zeile (docs/formats/runs.md).

## Notices
cli-note = Hinweis
cli-error = Fehler

## Erasing
cli-goes = { $count ->
    [0] { $name }: Es ist nichts da.
    [one] { $name }: Ein Eintrag wird gelöscht: { $what }.
   *[other] { $name }: { $count } Einträge werden gelöscht: { $what }.
}
cli-goes-child = { $name } ({ $children ->
    [one] ein Kind
   *[other] { $children } Kinder
})

## Lessons
cli-unit-on-paper = Eine Übergabe gilt für eine Stunde, und { $flag } plant mehrere.
cli-unit-on-paper-instead = Für die erste { $flag } weglassen; für einen anderen Tag stattdessen --on JJJJ-MM-TT angeben.
cli-absent-and-helping = { $name } steht bei --absent und bei --helping.
cli-absent-and-helping-remedy = Wer fehlt, kann nicht helfen: das Kind einmal nennen.
