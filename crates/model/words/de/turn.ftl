# Durchgänge seitwärts mit Wende auf Zuruf: Zurufe, Paare, Bahnen, Nachlassen, Uhren.

## Lanes for sideways shuttles
turn-one-child-a-lane = Ein Kind je Platz. Alle beginnen am selben Ende und wenden auf denselben Zuruf, damit niemand aufeinander zu wendet.
turn-falls-one-way = Von einer Seite kippt diese Hürde nicht: nicht darüber pendeln.
turn-try-both-ways = Vor dem Pendeln mit einem Finger prüfen, ob die Hürden von beiden Seiten kippen.
turn-gap-for-two-feet = Abstand { $gap }: Zwischen zwei Hürdenfüße müssen zwei Füße passen.
turn-does-not-fit = Für drei Hürden je Platz mit freiem Boden an beiden Enden ist kein Raum. Eine längere oder breitere Fläche nehmen, oder mehr Hürden.
turn-take-turns = { $at_once } von { $children } pendeln gleichzeitig; die anderen zählen, rufen und stellen Hürden auf.

## Drop-off
turn-drop-noise = { $decrement } unter dem besten: Allein die Zeitmessung macht bis zu { $noise } aus. Mehr ist nicht zu sagen.
turn-drop-slower = { $decrement } unter dem besten, und langsamer von einem zum nächsten.
turn-drop-uneven = { $decrement } unter dem besten, aber nicht langsamer von einem zum nächsten: eher ungleichmäßig als müde.

## Two phones
turn-clock-error = Die beiden Uhren stimmen auf { $seconds } s überein.
