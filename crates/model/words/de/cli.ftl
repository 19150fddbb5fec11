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
cli-clean = sauber { $mean } ({ $low } bis { $high })

## Odds
cli-odds = { $times }-fach ({ $low } bis { $high })
cli-odds-head = Wie viel leichter eine Hürde kippt, mit wahrscheinlichem Bereich, aus { $runs } Läufen:
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
cli-run-strangers = { $count ->
    [one] Dieses Kind der Laufdatei steht nicht in der Klassenliste: { $names }.
   *[other] Diese Kinder der Laufdatei stehen nicht in der Klassenliste: { $names }{ $more ->
        [0] .
       *[other] {" "}und { $more } weitere.
    }
}

## Notices
cli-note = Hinweis

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
