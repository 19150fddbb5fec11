# Was der Plan, die Fläche und die Prüfung der Ersatzhürde zu sagen haben.

## Does a stand-in fall easily
topple-falls-easily = Sie kippt leicht.
topple-too-firm = Nicht verwenden: Sie gibt nicht leicht genug nach.
topple-not-enough-known = Noch ist nicht genug bekannt.
topple-push-tips = Ein Druck von { $force } in Höhe des Fußes kippt sie.
topple-push-slides = Ein Druck von { $force } in Höhe des Fußes schiebt sie weg.
topple-push-moves = Sie gibt bei einem Druck von { $force } nach.
topple-push-bar = Die Latte fällt bei einem Druck von { $force }.
topple-push-high = Es braucht in Höhe des Fußes einen Druck von { $force }; höchstens { $limit } sind erlaubt.
topple-bar-held = Die Kante hält die Latte, wie fest der Fuß auch drückt. Die Latte auf flache Auflagen oder auf die hintere Kante legen.
topple-finger-easily = Ein Finger oben bewegt sie leicht.
topple-finger-hand = Es braucht eine Hand, um sie zu bewegen; ein Fuß, der hängen bleibt, würde gestoppt.
topple-finger-hardly = Sie bewegt sich kaum; ein Fuß, der hängen bleibt, würde gestoppt.
topple-mass-low = Was sich bewegt, wiegt { $mass } kg: leicht genug.
topple-mass-high = Was sich bewegt, wiegt { $mass } kg; höchstens { $limit } kg sind erlaubt.
topple-hits-soft = Der Fuß spürt davon { $mass } kg: wenig genug.
topple-hits-hard = Der Fuß spürt davon { $mass } kg auf einmal, also trifft sie hart; höchstens { $limit } kg sind erlaubt.
topple-slides = Sie rutscht vielleicht, bevor sie kippt: Sie darf nicht unter den Füßen bleiben. Besser ist eine Latte, die abfällt.
topple-blows-over = Im Freien kann der Wind sie umwehen.
topple-weigh = Wiegen: Etwas Schweres kann bei kleinem Druck kippen und trotzdem hart treffen.
topple-shape = Höhe und Tiefe messen: Bei dieser Masse entscheiden sie, wie hart sie trifft.
topple-shape-usual = Das gilt für Dinge, die nicht tiefer als hoch und oben nicht schwer sind.
topple-disagree = Die Rechnung sagt { $force }, weit weg von dem, was Sie probiert haben. Masse und Maße prüfen, und ob der Fuß der Hürde festhängt.
topple-numbers = Diese Zahlen passen zu keiner Ersatzhürde. Einheiten prüfen: Kilogramm und Meter, beim Druck Gramm oder Newton.
topple-caution-try = Auf dem eigenen Boden probieren, bevor Kinder laufen: oben drücken, von jeder Seite, von der sie kommen können.
topple-caution-parts = Nichts mit scharfen oder starren Teilen, nichts mit Sand oder Wasser gefüllt, nichts, worin ein Fuß hängen bleiben kann. Die Latte liegt auf und ist nie festgebunden.
topple-caution-rules = Die Regeln von Schule und Verband gehen vor.

## The figures behind it
topple-figures = In Zahlen
topple-figure-tips = kippt bei { $value }
topple-figure-slides = rutscht bei { $value }
topple-figure-bar = die Latte fällt bei { $value }
topple-figure-work = { $value } J bis zum Kippen
topple-figure-mass = der Fuß spürt { $value } kg
topple-before = Bevor Kinder laufen:

## Does it fit
plan-too-long = Die Fläche ist für diese Bahnen mit ihrem Auslauf { $by } zu kurz.
plan-too-wide = Die Fläche ist für diese Bahnen { $by } zu schmal.
plan-no-remedy = Hier hilft nur eine größere Fläche oder eine Gehübung. Der Auslauf bleibt, wie er ist.
plan-stand-no-room = So wie die Bahnen stehen, fehlt Platz für den Auslauf der Kinder von heute. Bitte niemanden schnell laufen lassen oder die Bahnen neu legen.
plan-hard-floor = Auf Asphalt oder Beton nur gehen. Eine Gehübung oder einen anderen Boden nehmen.
plan-slippery-floor = Der Boden ist rutschig: Der Auslauf ist ein Drittel länger. Sprints und Wenden weglassen, und aufhören, wenn jemand rutscht.
plan-tip-both-ways = Seitwärts geht es hin und zurück: Hürden nehmen, die nach beiden Seiten kippen, und Nachbarn nacheinander wenden lassen, nie aufeinander zu.
plan-run-to-open-end = Am Ziel ist eine Wand, am Start keine. Wenn möglich andersherum laufen, zum offenen Ende.
plan-caution = Den Auslauf frei halten von Taschen, Bänken und wartenden Kindern. Hürden stehen so, dass sie in Laufrichtung kippen. Die Regeln Ihrer Schule gehen vor.
plan-caution-both-ways = Den Auslauf an beiden Enden frei halten von Taschen, Bänken und wartenden Kindern. Hürden stehen so, dass sie nach beiden Seiten kippen. Die Regeln Ihrer Schule gehen vor.

## What would make it fit
plan-change-none = Nichts ändern.
plan-change-and = { $first } { $second }
plan-change-sprint = Den Sprint nach der letzten Hürde um { $by } kürzen, auf { $to }.
plan-change-no-sprint = Den Sprint nach der letzten Hürde weglassen.
plan-change-direction = Quer über die Fläche laufen statt längs.
plan-change-hurdles = Aus jeder Bahn { $by ->
    [one] eine Hürde
   *[other] { $by } Hürden
} nehmen, sodass { $to } stehen.
plan-change-run-up = Den Anlauf um { $by ->
    [one] einen Schritt
   *[other] { $by } Schritte
} kürzen, auf { $to }.
plan-change-lanes = Nur { $to ->
    [one] eine Bahn
   *[other] { $to } Bahnen
} aufbauen.
plan-change-effort = Mit Tempo { $to } laufen.
plan-change-drill = Statt { $drill }: { $instead }.
plan-change-leave-out = { $drill }: für eine längere Fläche aufheben.

## Hurdles and their heights
plan-high-for-most = { $height } sind für die Beine von { $count } Kindern hoch. Niedrigere Hürden nehmen oder erst übergehen.
plan-high-lower = { $height } sind für die Beine von { $names } in Bahn { $lane } hoch. Für { $count ->
    [one] dieses Kind
   *[other] diese Kinder
} Hürden von { $suits } daneben stellen.
plan-high-line = { $height } sind für die Beine von { $names } in Bahn { $lane } hoch. Für { $count ->
    [one] dieses Kind
   *[other] diese Kinder
} Bodenlinien daneben legen oder die Latten tiefer setzen.
plan-heights-ran-out = { $count ->
    [one] Bahn { $lanes } hat
   *[other] Die Bahnen { $lanes } haben
} Hürden von { $given }, weil es nicht genug von { $wanted } gibt.
plan-heights-lines = { $count ->
    [one] Bahn { $lanes } hat
   *[other] Die Bahnen { $lanes } haben
} Bodenlinien, weil es nicht genug Hürden von { $wanted } gibt.
plan-fewer-hurdles = { $count ->
    [one] Bahn { $lanes } hat
   *[other] Die Bahnen { $lanes } haben
} weniger Hürden, als da wären, damit alle Hürden einer Bahn gleich hoch sind.
plan-high-for-drill = { $drill }: { $height } ist höher, als für die Übung gedacht.
plan-no-hurdles = Es sind keine Hürden da: Die Bahnen sind Bodenlinien.
plan-few-hurdles = { $count ->
    [one] Es ist nur eine Hürde da
   *[other] Es sind nur { $count } Hürden da
}; ein Rhythmus braucht vier oder mehr. Für den Rest Bodenlinien ziehen.

## Lanes and wishes
plan-lanes-hurdles = { $lanes ->
    [one] Eine Bahn
   *[other] { $lanes } Bahnen
} statt { $wanted }: Mit weniger als { $least } Hürden hat eine Bahn keinen Rhythmus.
plan-lanes-width = { $lanes ->
    [one] Eine Bahn
   *[other] { $lanes } Bahnen
} statt { $wanted }: Die Fläche ist für mehr zu schmal.
plan-lanes-children = { $lanes ->
    [one] Eine Bahn
   *[other] { $lanes } Bahnen
} statt { $wanted }: Mehr Kinder sind nicht da.
plan-lanes-unwatched = { $adults ->
    [one] Eine erwachsene Person beaufsichtigt
   *[other] { $adults } Erwachsene beaufsichtigen
} { $lanes } Bahnen; bis zu { $each } je Person gehen gut.
plan-wish-lost = { $names } sollte in Bahn { $lane } laufen; die gibt es heute nicht.
plan-wish-only = { $first } nur in Bahn { $lane }
plan-wish-never = { $first } nicht in Bahn { $lane }
plan-wish-together = { $first } und { $second } in einer Bahn
plan-wish-apart = { $first } und { $second } in verschiedenen Bahnen
plan-stand-wish = So wie die Bahnen stehen, nicht erfüllt: { $wish }.

## Who is outside
plan-outside-far = { $drill }, Bahn { $lane }: { $gap } ist zu weit für { $names } (eigener Abstand { $own }). { $remedy }
plan-outside-close = { $drill }, Bahn { $lane }: { $gap } ist zu eng für { $names } (eigener Abstand { $own }). { $remedy }
plan-outside-guess = Erst { $count ->
    [one] den Schritt
   *[other] die Schritte
} messen, denn das ist geschätzt; oder neben der Bahn Bodenlinien im Abstand { $own } legen.
plan-outside-guess-other = Bahn { $other } würde passen; oder erst { $count ->
    [one] den Schritt
   *[other] die Schritte
} messen, denn das ist geschätzt.
plan-outside-sure = Neben der Bahn Bodenlinien im Abstand { $own } legen.
plan-outside-sure-other = Bahn { $other } würde passen; oder neben der Bahn Bodenlinien im Abstand { $own } legen.
plan-outside-more = { $count } weitere liegen außerhalb dessen, was eine Übung zulässt: siehe Kinderliste.
plan-from-to = { $low } bis { $high }

## One gap for drills that need two
plan-one-gap = Ein Abstand liegt für Übungen, die verschiedene brauchen: { $laid }. { $right } Eigene Abstände: { $own }. Die Hürden zwischen den Übungen neu stellen oder eine andere Übung wählen.
plan-one-gap-right = Er ist richtig für: { $drills }.
plan-one-gap-none = Er ist für keine davon richtig.
plan-one-gap-lane = { $lane } { $gap }
plan-one-gap-own = { $drill } ({ $gaps })
plan-one-gap-drill = { $drill }
plan-list = { $first }, { $second }
plan-list-drills = { $first }; { $second }

## What was asked
plan-no-sprint-after = Auf Gehen oder Seitwärtsschritte folgt kein Sprint: Er fällt weg.
plan-effort-high = { $drill } ist für höchstens { $most } Tempo gedacht, nicht { $effort }: Die Bahnen sind für { $most } ausgelegt.
plan-easy = { $names } { $count ->
    [one] schont
   *[other] schonen
} sich heute: kein Sprint und keine scharfen Wenden für { $count ->
    [one] dieses Kind
   *[other] diese Kinder
}.

plan-guessed = Noch nicht gemessen: { $names }. { $count ->
    [one] Der Abstand ist
   *[other] Die Abstände sind
} aus dem Alter oder aus der Klasse geschätzt. { $count ->
    [one] Dieses Kind
   *[other] Diese Kinder
} messen oder am Anfang zwei Abstände probieren.

## Why there is no plan
plan-error-no-runners = Heute läuft niemand. Mindestens ein Kind als da eintragen.
plan-error-no-drill = Keine dieser Übungen hat Hürden. Mindestens eine mit Hürden wählen.
plan-error-range = { $field } ist { $provided }; erlaubt ist { $allowed }.
plan-error-same-id = Zwei Kinder haben die Kennung { $id }. Einem davon eine andere geben.
plan-error-wishes = { $count } Wünsche zu Bahnen und Paaren gehen nicht alle zusammen. Einen davon zurücknehmen:
plan-error-lanes = Die Bahnen lassen sich nicht anordnen: { $reason }.

## The plan as text
plan-heading = { $lanes ->
    [one] Eine Bahn
   *[other] { $lanes } Bahnen
} für { $children ->
    [one] ein Kind
   *[other] { $children } Kinder
}: { $drills }, Tempo { $effort }.
plan-heading-walk = { $lanes ->
    [one] Eine Bahn
   *[other] { $lanes } Bahnen
} für { $children ->
    [one] ein Kind
   *[other] { $children } Kinder
}: { $drills }.
plan-drill-effort = { $drill } mit Tempo { $effort }
plan-fits = Passt auf { $length } mal { $width }: Nötig sind { $needed-length } mal { $needed-width }, mit Auslauf.
plan-does-not-fit = Passt nicht auf { $length } mal { $width }: Nötig sind { $needed-length } mal { $needed-width }, mit Auslauf.
plan-make-it-fit = { $count ->
    [one] Damit passt es:
   *[other] Mit einem davon passt es:
}
plan-lane = Bahn { $lane }: { $hurdles }, insgesamt { $length } lang
plan-lane-hurdles = { $hurdles ->
    [one] eine Hürde
   *[other] { $hurdles } Hürden
} von { $height }
plan-lane-lines = { $hurdles ->
    [one] eine Bodenlinie
   *[other] { $hurdles } Bodenlinien
}
plan-lane-place = Startlinie { $start } vom Startende, Bahnmitte { $middle } vom linken Rand
plan-lane-wait = hinter der Startlinie, zu zweit, bis { $back } zurück
plan-lane-wait-both-ways = { $clear } vor der Startlinie bleiben als Auslauf frei; dahinter warten, bis { $back } zurück
plan-lane-start = 0 am Maßband, eine zweite Marke bei { $second }, damit jedes Bein führen kann
plan-lane-one-start = 0 am Maßband
plan-lane-sprint = Sprint bis { $exit }, Auslauf bis { $stop }, frei bis { $clear }
plan-lane-gap = { $gap } ({ $drills })
plan-lane-stop = weiterlaufen bis { $exit }, Auslauf bis { $stop }, frei bis { $clear }
plan-row-place = Ort
plan-row-wait = warten
plan-row-start = Start
plan-row-gap = Abstand
plan-row-marks = Marken
plan-row-stop = Ziel
plan-row-runs = laufen
plan-floor-lines = Bodenlinie
plan-outside = { $fit }, außerhalb
plan-column-name = Kind
plan-column-own-gap = eigener Abstand
plan-column-likely = wahrscheinlich
plan-column-lane = Bahn
plan-column-fit = passt
plan-column-hurdle = Hürde
plan-column-basis = beruht auf
plan-look-at = Das ansehen:
