# Zeiten und Durchgänge: was abgelehnt wird, und die Seiten am Bahnrand.

## What does not fit
timing-marks-none = Es gibt noch keine Marke. Mindestens eine hinzufügen.
timing-marks-many = Mehr als { $most } Marken: Die kann niemand alle tippen. Einige herausnehmen.
timing-mark-range = Marke { $number } muss hinter dem Start liegen, höchstens { $most } davon entfernt.
timing-mark-order = Marke { $number } muss bei { $least } oder weiter liegen: Marken stehen in der Reihenfolge, in der man sie passiert.
timing-times-none = Es steht keine Zeit darin.
timing-time-range = { $time } ist keine Zeit eines Laufs hier; erlaubt ist bis { $most }.
timing-time-order = { $time } steht hinter { $before }: Zeiten ab dem Start steigen von Marke zu Marke.
timing-error-range = Ein Messfehler von { $error } s ergibt keinen Sinn; bitte 0 bis 2.
timing-no-such-mark = Eine Marke { $number } gibt es nicht; die Strecke hat { $marks }.
bout-seconds = Ein Durchgang von { $seconds } s: Erlaubt ist mehr als 0 bis { $most }.
bout-runners = Ein Durchgang hat ein Kind oder zwei, nicht { $count }.
bout-same-child = Auf beiden Seiten steht dasselbe Kind. Bitte ein anderes wählen.
bout-down = Eine Hürde { $number } gibt es nicht; gezählt wird von 1 bis { $most }.
bout-one-step = { $one } Wenden mit einem Schritt sind mehr als die { $turns } Wenden.

## From a watch or gates
timing-typed-line = Zeile { $line }: { $says }
timing-typed-nobody = „{ $name }“ ist nicht in der Klasse. Den Namen so schreiben, wie er in der Liste steht.
timing-typed-two = Zwei Kinder heißen „{ $name }“. Erst in der Klassenliste die Namen unterscheiden.
timing-typed-time = „{ $entry }“ ist keine Zeit. Bitte Sekunden, etwa 4,12.
timing-typed-many = { $times } Zeiten, aber { $marks } Marken. Je Marke eine Zeit schreiben oder nur die letzte.

## Times on Trackside
trackside-what = Was Sie tun
trackside-what-runs = Läufe
trackside-what-times = Zeiten
trackside-what-turns = Wenden
timing-whole-class = Alle
timing-setup = Marken und Telefone
timing-line = { $marks } · { $role }
timing-line-mark = Marke { $number } bei { $at }
timing-role = Dieses Telefon
timing-role-both = ein Telefon für alles
timing-role-starts = ich starte
timing-role-mark = ich stehe bei { $at }
timing-marks = Marken
timing-marks-how = Meter ab der Startlinie. Bei jeder Strecke angeben, ob sie über Hürden geht: Solche Zeiten gelten nie als flacher Sprint.
timing-mark-at = Meter ab dem Start
timing-ground-flat = flach
timing-ground-hurdled = Hürden
timing-mark-remove = Diese Marke herausnehmen
timing-mark-add = Noch eine Marke
timing-marks-save = Marken speichern
timing-said-marks = Die Marken stehen.
timing-said-moved = Die Marken gelten ab jetzt. Frühere Zeiten behalten ihre.
timing-said-wrong = Die Marken sind richtiggestellt, und die Zeiten von heute mit ihnen.
timing-marks-asked = An diesen Marken wurde schon gestoppt. Was stimmt?
timing-marks-wrong = Sie lagen die ganze Zeit so
timing-marks-moved = Sie wurden gerade verlegt
timing-short-exit = Die letzten { $exit } sind zu kurz für eine Endgeschwindigkeit von Hand: dort geht es nur mit Lichtschranken. { $how }
timing-no-exit = Keine zweite Marke: Hinter der letzten Hürde sind keine { $least } zum Weiterlaufen, also keine Endgeschwindigkeit von Hand; auf weniger messen sie nur Lichtschranken. { $how }
timing-exit-ask-lanes = Oder unter Bahnen einen Endsprint verlangen: Der Auslauf rückt mit.
timing-exit-ask-coach = Oder die Lehrkraft um Bahnen mit Endsprint bitten.
timing-start-kind = Die Zeit beginnt mit
timing-start-first-movement = erster Bewegung
timing-start-gun = Klatschen oder Zuruf
timing-start-flying = fliegend über die Linie
timing-start-photocell = Lichtschranke an der Linie
timing-run-up = Anlauf vor der Linie
timing-run-up-how = Meter vom ersten Schritt bis zur Startlinie. Leer lassen, wenn nicht gemessen.
timing-run-up-range = Ein Anlauf ist größer als null und höchstens { $most }.
timing-line-run-up = Anlauf { $run_up }
timing-phones-asking = Vergleiche die Uhr dieses Telefons mit dem Server …
timing-phones-no-answer = Die Telefone sehen einander nicht: Der Server antwortet nicht. Starts und Marken auf zwei Telefonen ergeben erst eine Zeit, wenn beide ihn erreicht haben. Bis dahin mit einem Telefon stoppen.
timing-phones-alone = Die Uhr dieses Telefons ist auf ± { $error } ms bekannt. Das andere hat sich noch nicht gemeldet: dort Zeiten öffnen und seinen Platz wählen.
timing-phones-agree = Die beiden Telefone sehen einander. Ihre Uhren stimmen auf ± { $error } ms überein.
timing-one-phone = Mit einem Telefon stoppen
timing-nameless = Wer war es? Der Zeitpunkt ist gemerkt.
timing-nobody = Niemand: vergessen
timing-slip-fast = { $name } bei { $at } nach { $time }: So schnell sprintet niemand. Noch nicht behalten.
timing-slip-slow = { $name } bei { $at } nach { $time }: So langsam geht niemand. Noch nicht behalten.
timing-slip-keep = Es zählt: behalten
timing-slip-drop = Vertippt: weg damit
timing-way = Unterwegs
timing-way-none = Niemand. Start drücken, wenn das Kind losläuft.
timing-way-none-mark = Von einem Start weiß dieses Telefon noch nichts. Trotzdem drücken, wenn jemand vorbeikommt, und das Kind danach nennen.
timing-next-at = bei { $at }
timing-gone = { $seconds } s
timing-verb-mark = { $name } bei { $at }
timing-verb-nobody = Niemand unterwegs
timing-verb-nameless = Jemand kommt vorbei
timing-verb-start = Start { $name }
timing-said-start = { $name } ist gestartet.
timing-said-mark = { $name } bei { $at }: { $time }.
timing-said-loose = Für { $name } gemerkt. Die Zeit folgt, wenn der Start ankommt.
timing-said-swapped = { $first } und { $second } getauscht.
timing-said-child = Es war der Lauf von { $name }.
timing-said-none = Die Zeit von { $name } ({ $time }) zählt nicht mehr.
timing-time = { $time } ± { $error }
timing-at = { $at } { $time }
timing-clocks-not-compared = noch keine Zeit: Die Uhren der beiden Telefone sind nicht verglichen
timing-before-start = keine Zeit: vor dem Start gedrückt
timing-method-tap = ein Telefon
timing-method-second-phone = zwei Telefone, Uhren ± { $error } ms
timing-method-watch = Stoppuhr
timing-method-gates = Lichtschranken
timing-note-first = Hier erscheint jede Zeit, sobald sie gespeichert ist.
timing-today = Zeiten heute
timing-today-none = Heute noch keine Zeit.
timing-no-mark = gestartet, keine Marke
timing-corrected = berichtigt
timing-correct = Berichtigen
timing-correcting = Zeit von { $name } ({ $time }) berichtigen
timing-swap = Ein anderes Kind kam bei { $at } vorbei. Tauschen mit
timing-other-child = Ein anderes Kind lief
timing-loose = { $name } kam bei { $at } vorbei; der Start ist noch nicht bekannt.
timing-error-how = ± gilt in neun von zehn Fällen. Von Hand gedrückt streut es; ein kleinerer Unterschied sagt nichts.
timing-typed = Von Stoppuhr oder Lichtschranken
timing-typed-how = Je Lauf eine Zeile: Name, dann die Zeit vom Start bis zu jeder Marke, etwa Ada, { $sample }. Eine einzelne Zeit gilt für die letzte Marke.
timing-typed-method = Gemessen mit
timing-typed-save = { $count ->
    [0] Noch nichts eingetippt
    [one] Einen Lauf speichern
   *[other] { $count } Läufe speichern
}
timing-said-typed = { $count ->
    [one] Ein Lauf
   *[other] { $count } Läufe
} eingetippt.

## Turns on Trackside
turns-floor = { $places ->
    [one] Ein Platz
   *[other] { $places } Plätze
} nebeneinander, je { $hurdles } Hürden, Abstand { $gap }
turns-what = Seitwärts hin und her zwischen den Enden, Wende auf Zuruf; Hürden im Abstand von { $gap }.
turns-floor-marks = Hürden ab der Startmarke: { $marks }
turns-floor-middles = Platzmitten vom linken Rand: { $middles }
turns-floor-room = Jeder Platz ist { $length } lang, an jedem Ende { $clear } frei.
turns-facing = Auf dem Hinweg schauen alle zur selben Seite. Niemand dreht sich um: Bei jeder Wende wechselt die Seite, zu der sie schauen, und damit das führende Bein.
turns-no-floor = Unter Material die Fläche eingeben: Dann werden die Plätze hier ausgelegt.
turns-settings = Wie lang, wer ruft, wer läuft
turns-settings-line = { $length } · { $calls } · { $who }
turns-line-voice = eine Stimme ruft
turns-line-tone = ein Piepton ruft
turns-line-nobody = niemand ruft
turns-length = Wie lang
turns-length-5 = 5 s
turns-length-10 = 10 s
turns-length-30 = 30 s
turns-length-free = frei
turns-calls-by = Wer ruft
turns-calls-voice = Stimme
turns-calls-tone = Piepton
turns-calls-nobody = niemand
turns-no-voice = Keine Stimme auf diesem Gerät spricht, ohne die Wörter wegzuschicken: Ein Piepton ruft.
turns-who = Wer
turns-who-pairs = Paare
turns-who-alone = einzeln
turns-rest = noch { $seconds } s Pause
turns-rests = { $name } setzt diesmal aus.
turns-go = Los: { $names }
turns-stop = Stopp
turns-away = Verwerfen
turns-save = Durchgang speichern
turns-say-go = Los!
turns-say-turn = Wende!
turns-say-stop = Stopp!
turns-call = Wende!
turns-one-step = Ein Schritt
turns-several = Mehrere
turns-fell = Gekippt
turns-less = Eins weniger
turns-none-asked = { $calls } Zurufe, und keine Wende ist getippt. War keine zu sehen?
turns-none-save = Keine: speichern
turns-none-count = Erst tippen
turns-over = { $seconds } s, { $calls ->
    [0] kein Zuruf
    [one] ein Zuruf
   *[other] { $calls } Zurufe
}. Zahlen richtigstellen, dann speichern.
turns-down = Hürden, die liegen blieben
turns-no-such-bout = Diesen Durchgang gab es nicht
turns-said-bout = Durchgang von { $names } gespeichert.
turns-said-none = Der Durchgang zählt nicht mehr.
turns-note-first = Hier erscheint jeder Durchgang, sobald er gespeichert ist.
turns-today = Durchgänge heute
turns-today-none = Heute noch kein Durchgang.
turns-seconds = { $seconds } s
turns-line = { $turns ->
    [one] 1 Wende
   *[other] { $turns } Wenden
}, { $one } mit einem Schritt, { $falls } gekippt

## Under pressure on Findings
pressed-how = Das Wort neben einem Namen gilt dem Endsprint: Bleiben damit genug Hürden stehen? Bereiche gelten in neun von zehn Fällen; die Kinder stehen in der Reihenfolge der Liste.
pressed-none = Noch nichts: am Bahnrand Läufe mit Endsprint ansehen, Zeiten nehmen oder Durchgänge speichern.
pressed-holds = Hält
pressed-breaks = Hält nicht
pressed-open = Zu wenig gesehen
pressed-up-to = hält bis { $effort } vom Höchsttempo
pressed-between = { $low } bis { $high }
pressed-what = Gesehen
pressed-under = Unter Druck
pressed-difference = Unterschied
pressed-verdict = Sagt
pressed-clean-sprint = Hürden, die stehen bleiben, mit Endsprint
pressed-rhythm = Ohne Rhythmusfehler, mit Endsprint
pressed-evenness = Ungleichmäßige Schritte, mit Endsprint
pressed-effort = Hürden, die stehen bleiben, höchstes Tempo gegen niedrigstes
pressed-effort-col = Tempo
pressed-clean = Stehen
pressed-hurdles = Hürden
pressed-times = Zeiten
pressed-when = Wann
pressed-time = Zeit ab Start
pressed-exit = Endtempo
pressed-speed-least = mindestens { $low }: für diese Zeitmessung ist die Strecke zu kurz
pressed-exit-short = { $exit } sind zu kurz für eine Geschwindigkeit von Hand
pressed-gain = { $gain } gewonnen seit der Stunde davor, { $low } bis { $high }.
pressed-least = Mit dieser Zeitmessung ist nichts unter { $least } zu unterscheiden.
pressed-cost = Die Hürden kosten auf dieser Strecke { $cost }, { $low } bis { $high }.
pressed-turns = Wenden
pressed-bouts = { $bouts ->
    [one] Ein Durchgang
   *[other] { $bouts } Durchgänge
}, { $falls ->
    [0] nichts gekippt
    [one] eine Hürde gekippt
   *[other] { $falls } Hürden gekippt
}.
pressed-one-step = { $mean } von { $turns ->
    [one] einer Wende
   *[other] { $turns } Wenden
} mit einem Schritt, { $low } bis { $high }.
