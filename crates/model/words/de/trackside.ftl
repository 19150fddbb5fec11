# Aufnehmen am Bahnrand: einzelne Läufe, eine ganze Bahn auf einmal, Läufe vom Papier.

## The frame
trackside-tab = Bahnrand
trackside-title = Am Bahnrand
trackside-part = Was aufnehmen
trackside-part-runs = Lauf für Lauf
trackside-part-sweep = Ganze Bahn
trackside-part-paper = Vom Papier
trackside-empty = Noch ist niemand da. Erst eine Klasse anlegen.
trackside-no-drill = Keine der gewählten Übungen hat Hürden. Eine mit Hürden wählen.
trackside-lane-read = Gelesen: heute nicht mehr
trackside-no-children = In dieser Bahn läuft heute niemand.
trackside-lanes = Bahn
trackside-lane = Bahn { $lane }

## What is watched
trackside-setup = Übung, und worauf Sie achten
trackside-setup-line = { $gap } · { $watched }
trackside-setup-line-sprint = { $gap } · { $watched } · Endsprint
trackside-drill = Übung
trackside-drill-gap = { $drill } · { $gap }
trackside-watched = Worauf Sie achten
trackside-watched-knocks = Nur was kippt
trackside-watched-technique = Auch Technik
trackside-watching-knocks = nur was kippt
trackside-watching-technique = auch Technik
trackside-sprint = Endsprint
trackside-sprint-off = Aus
trackside-sprint-on = An
trackside-not-watched = Auf die Technik achtet niemand: Gespeichert wird nur, was kippt.
trackside-watch-technique = Auf Technik achten

## Who runs
trackside-run-number = Lauf { $number }
trackside-lead = Schwungbein
trackside-left = Links
trackside-right = Rechts
trackside-then = Danach
trackside-somebody = Jemand anderes
trackside-watch-next = Als Nächstes ansehen: { $name }
trackside-watch-now = Jetzt genau auf { $name } sehen
trackside-rest = Andere Bahnen
trackside-change-child = Anderes Kind wählen

## The strip
trackside-strip = Hürden der Bahn
trackside-finish = Ziel
trackside-finish-stands = Ziel · steht seit { $time }
trackside-start = Start
trackside-row-stands = Hürde { $number } steht
trackside-row-down = Hürde { $number } ist gekippt
trackside-row-was-down = Hürde { $number } lag schon
trackside-row-odd = { $row }, fällt leichter als die anderen
trackside-down = liegt
trackside-was-down = lag schon
trackside-still-lying = { $count ->
    [one] Hürde { $numbers } liegt noch
   *[other] Hürden { $numbers } liegen noch
}
trackside-still-lying-why = Vom Lauf davor: niemand hat aufgestellt

## Faults
trackside-faults = Fehler
trackside-key = wichtig
trackside-more = Mehr …
trackside-fewer = Weniger

## The one button
trackside-clean = Sauber
trackside-clean-lay = Sauber · { $lay } lagen schon
trackside-save-down = Speichern · { $down } gekippt
trackside-save-faults = Speichern · { $faults } Fehler
trackside-save-both = Speichern · { $down } gekippt, { $faults } Fehler
trackside-said-run = { $name }, Lauf { $number }: { $what }.
trackside-said-and-here = { $said } { $name } ist jetzt da.
trackside-short-clean = sauber
trackside-short-stood = Hürden sauber
trackside-short-clean-lay = sauber, { $lay } lagen schon
trackside-short-down = { $down } gekippt ({ $numbers })
trackside-short-technique = { $first }; Technik: { $faults }
trackside-short-and = { $first }, { $fault }
trackside-note-first = Hier erscheinen gespeicherte Läufe und was sie bedeuten.

## Runs so far
trackside-last = Läufe dieser Bahn heute
trackside-last-none = Heute noch kein Lauf.
trackside-corrected = Berichtigt. Zuerst aufgenommen: { $what }.
trackside-first-recorded = Zuerst aufgenommen: { $what }.
trackside-correct = Berichtigen
trackside-correcting = Lauf von { $name } um { $time } berichtigen
trackside-correct-who = Wessen Lauf war es?
trackside-save-correction = Berichtigung speichern
trackside-no-such-run = Diesen Lauf gab es nicht
trackside-cancel = So lassen
trackside-said-corrected = Lauf von { $name } berichtigt: { $what }.
trackside-said-no-run = Der Lauf von { $name } um { $time } zählt nicht mehr.
trackside-count-again = Wieder zählen
trackside-said-counts-again = Der Lauf von { $name } um { $time } zählt wieder.
trackside-not-counted = Herausgenommen: Diesen Lauf gab es nicht. Aufgenommen war: { $what }.
trackside-all-runs = Alle { $count } zeigen

## The whole lane
trackside-sweep-how = Einmal tippen: klappt. Zweimal: noch nicht. Dreimal: nicht gesehen.
trackside-sweep-saved = Heute gespeichert: { $seen } von { $count }.
trackside-sweep-all = Bei allen klappt es
trackside-sweep-none = Niemand gesehen
trackside-got-it = Klappt
trackside-not-yet = Noch nicht
trackside-not-seen = Nicht gesehen
trackside-sweep-save = { $seen ->
    [0] Noch niemand angetippt
    [one] Ein Kind speichern
   *[other] { $seen } Kinder speichern
}
trackside-said-sweep = Bahn { $lane }: bei { $got } klappt es, bei { $not } noch nicht.

## From paper
trackside-paper-how = Je gekippte Hürde eine Nummer, 0 für einen sauberen Lauf, Leerzeichen zwischen Läufen: 0 34 5 sind drei Läufe. Ein * oder / gilt als Leerzeichen.
trackside-paper-how-commas = Je gekippte Hürde eine Nummer, 0 für einen sauberen Lauf, Leerzeichen zwischen Läufen, Komma innerhalb: 0 3,10 5 sind drei Läufe. Ein * oder / gilt als Leerzeichen.
trackside-paper-preview = { $count ->
    [one] Ein Lauf: { $runs }
   *[other] { $count } Läufe: { $runs }
}
trackside-paper-clean = sauber
trackside-paper-save = { $count ->
    [0] Noch nichts eingetippt
    [one] Einen Lauf speichern
   *[other] { $count } Läufe speichern
}
trackside-paper-bad = { $count ->
    [one] Vor dem Speichern ist eine Zeile zu ändern.
   *[other] Vor dem Speichern sind { $count } Zeilen zu ändern.
}
trackside-said-paper = Bahn { $lane }: { $count ->
    [one] ein Lauf
   *[other] { $count } Läufe
} vom Papier.
trackside-paper-range = „{ $entry }“ nennt Hürde { $number }; diese Bahn hat die Hürden 1 bis { $hurdles }.
trackside-paper-zero = „{ $entry }“ mischt 0 mit einer Hürde. Für einen sauberen Lauf nur die 0 schreiben.
trackside-paper-twice = „{ $entry }“ nennt Hürde { $number } zweimal. Einmal schreiben oder ein Leerzeichen zwischen zwei Läufe setzen.
trackside-paper-digits = „{ $entry }“ ist kein Lauf. Die Nummern der gekippten Hürden schreiben, oder 0.
trackside-paper-commas = „{ $entry }“: Zwischen die Hürden Kommas setzen, wie in 3,10.
trackside-paper-too-many = Mehr als { $most } Läufe in einer Zeile: prüfen und den ersten Teil zuerst speichern.

## Lanes that stand
stand-since = Die Bahnen stehen seit { $time }: { $lanes }.
stand-anew = Bahnen neu legen
stand-anew-lanes = Neu gelegt wären sie: { $lanes }.
stand-said-anew = Die Bahnen sind neu gelegt: Hürden nach dem heutigen Plan stellen.
stand-late = { $name } läuft in Bahn { $lane }, { $gap }.
stand-late-and = { $said } { $wish }
stand-late-several = { $count } sind dazugekommen und laufen am Ende ihrer Bahn: { $who }.
