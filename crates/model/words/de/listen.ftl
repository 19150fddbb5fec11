# Was der Klang eines Laufs sagt.

## Why there is no answer, and what to do
listen-empty = Es ist kein Ton darin. Noch einmal aufnehmen.
listen-too-short = Die Aufnahme ist kürzer als eine Sekunde. Beginnen, bevor das Kind läuft, aufhören, wenn es steht.
listen-too-long = Die Aufnahme ist länger als { $seconds } Sekunden. Immer nur einen Lauf aufnehmen oder diesen herausschneiden.
listen-silent = Es ist fast nichts zu hören. Das Telefon neben die Bahn legen, Mikrofon nach oben, nichts darüber.
listen-overdriven = Für das Mikrofon ist es zu laut. Das Telefon einen Schritt weiter von der Bahn weglegen.
listen-no-steps = Kein Lauf eines einzelnen Kindes ist zu hören. Das Telefon neben die Mitte der Bahn legen, ein Kind nach dem anderen, die anderen leise.
listen-too-noisy = Etwas wie Schritte ist da, aber zu viel Lärm darüber. Näher an die Bahn, aus dem Wind, die anderen leise.

## The answer
listen-contacts =
    { $count ->
        [one] Ein Bodenkontakt
       *[other] { $count } Bodenkontakte
    } in { $seconds } s.
listen-cadence = { $cadence } Schritte je Sekunde (zwischen { $low } und { $high }).
listen-even = Gleichmäßig: Die Schrittzeit schwankt um { $cv } (zwischen { $low } und { $high }).
listen-uneven = Ungleichmäßig: Die Schrittzeit schwankt um { $cv } (zwischen { $low } und { $high }).
listen-one-sided = Ein Fuß braucht länger: Die Schrittzeiten der beiden Füße unterscheiden sich um { $asymmetry } (zwischen { $low } und { $high }).
listen-not-enough = Ob gleichmäßig, ist nicht zu sagen: Die Schrittzeit schwankt um { $cv }, möglich sind { $low } bis { $high }.
listen-not-enough-steps = Zu wenige Schritte, um zu sagen, ob sie gleichmäßig sind.
listen-trend = Vom ersten bis zum letzten Schritt ändert sich die Schrittfrequenz um { $trend } (zwischen { $low } und { $high }).
listen-knock = Eine Berührung bei { $t } s ({ $p }).
listen-knock-hurdle = Eine Berührung bei { $t } s, Hürde { $hurdle } ({ $p }).
listen-knock-perhaps = Eine Berührung bei { $t } s, vielleicht Hürde { $hurdle } ({ $p }).
listen-knock-among = Eine Berührung bei { $t } s, eine der Hürden { $low } bis { $high } ({ $p }).
listen-knock-unplaced = Eine Berührung bei { $t } s ({ $p }); an welcher Hürde, sagt der Ton nicht.
listen-brake = Ein harter Stopp bei { $t } s ({ $p }), { $pause } Schrittzeiten bis zum nächsten Kontakt.
listen-gap = Abstand hinter Hürde { $hurdle }: { $speed } (zwischen { $low } und { $high }).
listen-step = Ein Schritt war { $step } (zwischen { $low } und { $high }).
listen-alignment = Welcher Kontakt über die erste Hürde führt, ist geraten ({ $p } sicher). Mit --first-crossing-s angeben.
listen-no-gaps = Zu wenige Kontakte für { $hurdles } Hürden: kein Tempo je Abstand.

## The strip
draw-sound-title = Der Klang eines Laufs
draw-sound-said = { $contacts } Kontakte in { $seconds } s, Berührungen: { $knocks }, harte Stopps: { $brakes }.
draw-sound-contact = Kontakt
draw-sound-knock = Berührung
draw-sound-brake = harter Stopp
draw-sound-seconds = { $t } s

## What the gap sounds like
heard-gap-too-close = { $cadence } Schritte in der Sekunde bei { $speed }. Üblich sind für dieses Kind bei diesem Tempo etwa { $usual } ({ $low } bis { $high }). Der Abstand klingt zu eng ({ $p }).
heard-gap-right = { $cadence } Schritte in der Sekunde bei { $speed }. Üblich sind für dieses Kind bei diesem Tempo etwa { $usual } ({ $low } bis { $high }). Der Abstand klingt richtig ({ $p }).
heard-gap-too-far = { $cadence } Schritte in der Sekunde bei { $speed }. Üblich sind für dieses Kind bei diesem Tempo etwa { $usual } ({ $low } bis { $high }). Der Abstand klingt zu weit ({ $p }).
