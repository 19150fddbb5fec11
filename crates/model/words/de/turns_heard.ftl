# Wenden nach Gehör: was zu hören ist, und der Bildschirm, der danach zählt.

## What is heard
heard-number = { $value }
heard-range = { $value } ({ $low } bis { $high })
heard-turns-count = Wenden: { $count }, auf einen Schritt: { $one }.
heard-turns-none = Keine Wende zu hören.
heard-turn = Wende { $number } bei { $t } s ({ $p }): { $steps }; { $stop }.
heard-turn-one = ein Schritt ({ $p })
heard-turn-several = mehrere Schritte, Kontakte: { $contacts }
heard-turn-unsure = ein Schritt oder mehrere, der Ton sagt es nicht (einer: { $p })
heard-stop-heavy = harter Stopp, { $value } dB über den eigenen Schritten ({ $low } bis { $high })
heard-stop-quick = schnell, { $value } dB über den eigenen Schritten ({ $low } bis { $high })
heard-stop-not-known = hart oder nicht, sagt der Ton nicht: { $value } dB über den eigenen Schritten ({ $low } bis { $high })
heard-call-without = Nach Ruf { $call } ist keine Wende zu hören.

## Why turns cannot be counted
heard-turns-no-steps = Wenden sind nicht zu zählen: Keine Schritte eines einzelnen Kindes zu hören.
heard-turns-few-steps = Wenden sind nicht zu zählen: zu wenige Schritte dazwischen zum Vergleichen.
heard-turns-uneven = Wenden sind nicht zu zählen: Die Schritte sind so ungleichmäßig, dass eine Unterbrechung nicht auffällt.
heard-turns-covered = Wenden sind nicht zu zählen: Die Rufe dieses Telefons verdecken zu viel.

## The screen
turns-count-by = Wer zählt die Wenden
turns-count-tap = Tippen
turns-count-sound = Tippen und Mithören
turns-sound-alone = Das Mithören zählt nur ein Kind auf einmal: einzeln wählen.
turns-sound-how = Das Telefon neben die Mitte der Bahn legen; die anderen sind leise. Die Aufnahme wird verworfen, sobald sie angehört ist. Solange es mithört, ruft ein Piepton.
turns-sound-on = Das Telefon hört mit. Tippen wie immer.
turns-sound-trouble = Dieser Durchgang wird nicht gehört: tippen wie immer.
turns-sound-too-long = Der Durchgang dauert länger als zwei Minuten: gezählt wird nach dem Tippen.
turns-sound-listening = Höre den Durchgang an …
turns-sound-heard = Gehört
turns-sound-take = Gehörtes übernehmen
turns-sound-taken = Übernommen. Unten berichtigen.
turns-sound-unsure =
    { $count ->
        [one] Eine Wende kann ein Schritt sein oder mehrere: unten zählen.
       *[other] { $count } Wenden können ein Schritt sein oder mehrere: unten zählen.
    }
sound-heavy-stop = Ein harter Stopp war zu hören. Antippen, um ihn beim Lauf zu vermerken:
