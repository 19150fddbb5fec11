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

## Recordings
cli-unreadable = Die Aufnahme lässt sich nicht lesen: { $why }.
cli-undecodable = Die Aufnahme lässt sich nicht entschlüsseln: { $why }. WAV, FLAC, OGG/Vorbis, MP3 und M4A/AAC gehen; noch einmal aufnehmen oder kopieren.

## Refusals of a class list
cli-list-look = In der Klassenliste { $places ->
    [one] ist eine Stelle
   *[other] sind { $places } Stellen
} anzusehen:
cli-list-place = Zeile { $line }, Spalte { $column }: { $said }
cli-list-more = und { $count } weitere
cli-nothing-planned = Nichts ist geplant.
