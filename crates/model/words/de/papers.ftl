# Papiere: Karte eines Kindes, Klassenbericht, Übergabe.
# Deutsch. Die Sätze der Karten lesen Kinder mit zehn Jahren: kurz, du, ein Gedanke je Satz.
# `{ $drill }` ist auf einer Karte, was ein Kind tut, im Infinitiv, und steht hinter einem Doppelpunkt.

## Months and days
papers-month-1 = Januar
papers-month-2 = Februar
papers-month-3 = März
papers-month-4 = April
papers-month-5 = Mai
papers-month-6 = Juni
papers-month-7 = Juli
papers-month-8 = August
papers-month-9 = September
papers-month-10 = Oktober
papers-month-11 = November
papers-month-12 = Dezember
papers-day = { $day }.{"\u00A0"}{ $month }
papers-day-year = { $day }.{"\u00A0"}{ $month }{"\u00A0"}{ $year }

## What a child does, on a card
card-drill-spot-single = am Ort mit einem Bein kreisen
card-drill-spot-alternate = am Ort mit beiden Beinen kreisen
card-drill-single-walk = vorbeigehen und ein Bein darüber heben
card-drill-dead-leg-run = vorbeilaufen und ein Bein darüber heben
card-drill-alternate-walk = darübergehen, links und rechts
card-drill-alternate-run = darüberlaufen, links und rechts
card-drill-two-contact-walk = gehen, mit zwei Schritten zwischen den Hürden
card-drill-two-contact-run = laufen, mit zwei Schritten zwischen den Hürden
card-drill-side-walk = seitwärts darübergehen
card-drill-side-run = seitwärts darüberlaufen
card-drill-side-shuttle = seitwärts laufen und auf Zuruf wenden
card-drill-free-run = ohne Hürden laufen

## The same, under a step of the stairs: at most two short words
card-step-single-walk = einseitig gehen
card-step-dead-leg-run = einseitig laufen
card-step-alternate-walk = wechselnd gehen
card-step-alternate-run = wechselnd laufen
card-step-two-contact-walk = Zweier gehen
card-step-two-contact-run = Zweier laufen
card-step-side-walk = seitwärts gehen
card-step-side-run = seitwärts laufen
card-step-side-shuttle = seitwärts wenden
card-steps-title = Die Stufen
card-steps-here = hier
card-steps-desc = { $clean ->
    [0] Noch keine Stufe geht.
   *[other] Geht schon: { $names }.
}
card-steps-desc-here = Jetzt hier: { $drill }.
card-steps-desc-all = Es gibt { $count } Stufen.

## A child's card
card-document = Karten für { $class }
card-document-plain = Karten
card-heading-can = Das kannst du jetzt
card-heading-changed = Was sich geändert hat
card-heading-work = Daran arbeitest du
card-heading-next = Nächstes Mal
card-can = Hier bleiben die Hürden stehen:
card-can-more = { $count ->
    [one] Und eins mehr.
   *[other] Und { $count } mehr.
}
card-can-none = Noch keine Stufe. Du bist auf dem Weg.
card-little = Wir haben dich noch wenig gesehen. Nächstes Mal sehen wir mehr hin.
card-nothing = Wir haben dich noch nicht laufen gesehen. Wir sehen nach dir.
card-better = Jetzt bleiben mehr Hürden stehen: { $drill }. Es sind { $after } von 10. Am Anfang waren es { $before } von 10.
card-better-plain = Jetzt bleiben mehr Hürden stehen als am Anfang: { $drill }.
card-worse = Jetzt bleiben weniger Hürden stehen als am Anfang: { $drill }. Das kommt vor. Beginne langsam, dann werde schneller.
card-same = Du läufst fast wie vorher. Für eine echte Änderung brauchen wir mehr Läufe.
card-first = Das ist deine erste Karte. Die nächste kann zeigen, was sich geändert hat.
card-cue = Sag dir: „{ $cue }“
card-keep = Deine Technik war gut. Denk weiter daran: „{ $cue }“
card-think = Denk daran: „{ $cue }“
card-next-try = Eine neue Stufe für dich: { $drill }.
card-next-once-more = Noch einmal: { $drill }.
card-next-watched = Noch einmal: { $drill }. Bitte jemanden, dir zuzusehen.
card-next-easier = Erst das: { $drill }. Dann geht es von dort weiter.
card-next-show = Zeig uns mehr: { $drill }.
card-next-free = Du kannst alle Stufen. Lauf jetzt schnell ohne Hürden, genauso gut.
card-next-begin = Damit fangen wir an: { $drill }.
card-seen = { $runs ->
    [0] Noch keine Läufe
    [one] Aus einem Lauf
   *[other] Aus { $runs } Läufen
}{ $lessons ->
    [0] {""}
    [one] { " " }in einer Stunde
   *[other] { " " }in { $lessons } Stunden
}
card-name-line = Name:
card-fault-toes-hang = Deine Fußspitze hängt über der Hürde.
card-fault-heel-low = Deine Ferse bleibt tief, wenn dein Bein schwingt.
card-fault-knee-low = Dein Knie bleibt an der Hürde tief.
card-fault-goes-round = Dein Fuß geht um die Hürde herum, nicht darüber.
card-fault-out-of-line = Dein Knie kippt zur Seite.
card-fault-support-ahead = Dein anderer Fuß landet zu weit hinter der Hürde.
card-fault-support-behind = Dein anderer Fuß landet zu früh, vor der Hürde.
card-fault-leans-back = Du lehnst dich an der Hürde zurück.
card-fault-folds = Du beugst dich an der Hürde nach unten.
card-fault-hips-turn = Deine Hüfte dreht sich dorthin, wohin du läufst.
card-fault-hops = Du hüpfst zwischen den Hürden auf und ab.
card-fault-reaches = Dein Fuß landet weit vorn.
card-fault-irregular = Deine Schritte haben keinen gleichen Takt.
card-fault-heavy = Deine Füße landen laut.
card-fault-arms = Deine Hände hängen tief oder schwingen quer.
card-fault-slow-turn = Du brauchst mehrere Schritte zum Wenden.
card-fault-leg-gives = Dein Knie beugt sich tief, wenn du bremst.

## The card in very plain words
card-easy-can = Hier bleiben Hürden stehen:
card-easy-can-none = Noch keine Stufe. Mach weiter.
card-easy-little = Wir sahen wenige Läufe. Wir sehen mehr hin.
card-easy-nothing = Wir sahen dich noch nicht laufen. Wir sehen nach dir.
card-easy-better = Du bist besser. Mehr Hürden bleiben stehen: { $drill }.
card-easy-worse = Das war schwer: { $drill }. Fang langsam an.
card-easy-same = Noch kein echter Unterschied. Mach weiter.
card-easy-first = Das ist deine erste Karte.
card-easy-cue = Denk: „{ $cue }“
card-easy-next-try = Probier jetzt das: { $drill }.
card-easy-next-once-more = Mach das noch einmal: { $drill }.
card-easy-next-watched = Mach das noch einmal: { $drill }. Wir sehen zu, wenn du fragst.
card-easy-next-easier = Mach erst das: { $drill }.
card-easy-next-show = Zeig uns das: { $drill }.
card-easy-next-free = Du kannst alle. Lauf jetzt schnell ohne Hürden.
card-easy-next-begin = Fang damit an: { $drill }.

## Charts
chart-count-title-clean = { $drill }: { $clean } von { $count } Kindern können es
chart-count-title-none = In einer Bahn wurde noch niemand gesehen
chart-count-desc = Wie viele von { $count } Kindern bei jeder Übung wie weit sind. { $rows }
chart-count-desc-row = { $drill }: können es { $clean }, in Arbeit { $working }, zu wenig gesehen { $little }, nicht gesehen { $not }.
chart-count-clean = können es
chart-count-working = in Arbeit
chart-count-little = zu wenig gesehen
chart-count-not = nicht gesehen
chart-count-axis = Kinder (n = { $count })
chart-rate-title-up = { $drill }: mehr bleibt stehen, von { $before } auf { $after }
chart-rate-title-down = { $drill }: weniger bleibt stehen, von { $before } auf { $after }
chart-rate-title-same = { $drill }: keine Änderung über die Streuung hinaus
chart-rate-title-one = { $drill }: { $after } bleiben stehen, bisher eine Stunde
chart-rate-title-few = { $drill }: { $after } bleiben stehen; zu wenige Kinder zweimal, um eine Änderung zu sehen
chart-rate-axis = Hürden, die stehen bleiben; n: Kinder
chart-rate-needed = nötig für „Weiter“
chart-rate-n = n { $count }
chart-rate-desc = Anteil der Hürden, die stehen bleiben, Mittel über die Kinder jeder Stunde, mit dem Bereich, in dem das wahre Mittel wahrscheinlich liegt (9 von 10). { $rows }
chart-rate-desc-row = { $day }: { $mean }, wahrscheinlich zwischen { $low } und { $high }, { $count ->
    [one] ein Kind
   *[other] { $count } Kinder
}.
chart-rate-desc-few = { $day }: { $mean }, zu wenige Kinder für einen Bereich.

## Class report
report-title = Klassenbericht: { $class }
report-title-plain = Klassenbericht
report-facts = { $children ->
    [one] ein Kind
   *[other] { $children } Kinder
} · { $lessons ->
    [0] noch keine Stunde mit Läufen
    [one] eine Stunde, { $from }
   *[other] { $lessons } Stunden, { $from } bis { $to }
} · { $runs ->
    [one] ein Lauf
   *[other] { $runs } Läufe
}
report-nothing = Von diesen Kindern ist noch kein Lauf aufgenommen. An der Bahn Läufe tippen oder Zählbögen eintippen; dann gibt es etwas zu berichten.
report-where = Wo die Klasse steht
report-where-how = Jedes Kind zählt in jeder Zeile einmal. Können es: Genug Hürden bleiben stehen, um weiterzugehen, und die Technik war in zwei angesehenen Läufen richtig, in der Stunde, in der es zuletzt gesehen wurde.
report-col-drill = Übung
report-col-clean = können es
report-col-working = in Arbeit
report-col-little = zu wenig
report-col-not = nicht gesehen
report-progress = Wie es von Stunde zu Stunde ging
report-progress-how = Punkt: mittlerer Anteil der Hürden, die stehen bleiben; Linie: wo das wahre Mittel wahrscheinlich liegt (9 von 10). Eine Änderung steht nur da, wenn sie größer ist als die Streuung derselben Kinder von Mal zu Mal.
report-progress-change = Die { $children } Kinder, die in der ersten und in der letzten Stunde gesehen wurden: { $difference }, wahrscheinlich zwischen { $low } und { $high }.
report-points-up = { $points ->
    [0] gleich viele
    [one] ein Prozentpunkt mehr
   *[other] { $points } Prozentpunkte mehr
}
report-points-down = { $points ->
    [0] gleich viele
    [one] ein Prozentpunkt weniger
   *[other] { $points } Prozentpunkte weniger
}
report-points = { $points } Prozentpunkten
report-col-lesson = Stunde
report-col-children = Kinder
report-col-mean = stehen
report-col-range = 9 von 10
report-lessons = Was jede Stunde brachte
report-lessons-how = Mittleres Kind, in Klammern das wenigste und das meiste. Die Minuten in Bewegung sind aus den aufgenommenen Läufen berechnet, mit Rückweg; nicht getippte Läufe fehlen.
report-col-runs = Läufe
report-col-runs-each = Läufe je Kind
report-col-contacts = Kontakte je Kind
report-col-moving = min in Bewegung
report-col-minutes = min vom ersten zum letzten Lauf
report-spread = { $middle } ({ $least }–{ $most })
report-changed = Wer sich über die Streuung hinaus geändert hat
report-changed-none = Bei keinem Kind ist die Änderung schon größer als die Streuung.
report-changed-up = Mehr bleibt stehen: { $names }.
report-changed-down = Weniger bleibt stehen: { $names }. Zuerst an Wachstum, Müdigkeit und die Bahn denken.
report-changed-one = { $name } ({ $drill })
report-changed-count = { $up ->
    [one] Bei einem Kind bleibt
   *[other] Bei { $up } Kindern bleibt
} mehr stehen, { $down ->
    [one] bei einem Kind
   *[other] bei { $down } Kindern
} weniger.
report-lanes = Bahnen
report-lanes-none = Zu wenige Läufe in einer Stunde, um etwas über eine Bahn zu sagen.
report-lane-gap = { $day }, Bahn { $lane }, { $drill }: Abstand { $to } statt { $from }.
report-lane-height = { $day }, Bahn { $lane }, { $drill }: Höhe { $to } statt { $from }.
report-lane-unchanged = Zwischen den Stunden wurde kein Abstand und keine Höhe geändert.
report-lane-more = { $count ->
    [one] Eine weitere Änderung von Abstand oder Höhe steht in den Daten.
   *[other] { $count } weitere Änderungen von Abstand oder Höhe stehen in den Daten.
}
report-unseen = Zu wenig gesehen
report-unseen-none = Über jedes Kind lässt sich etwas sagen.
report-unseen-names = Nächstes Mal zuerst ansehen: { $names }.
report-unseen-count = { $count ->
    [one] Ein Kind wurde zu wenig gesehen, um etwas zu sagen.
   *[other] { $count } Kinder wurden zu wenig gesehen, um etwas zu sagen.
}
report-prompt = Das alles sind Hinweise. Sie haben die Kinder gesehen, das Programm nicht.

## Handover
handover-title = Übergabe: { $class }
handover-title-plain = Übergabe
handover-facts = { $minutes }{"\u00A0"}min
handover-how = So läuft es
handover-how-set = Jede Bahn hat ihren eigenen Abstand, siehe unten. Der Auslauf hinter der letzten Hürde bleibt leer.
handover-how-start = Immer nur ein Kind in einer Bahn. Das nächste startet, wenn die Bahn frei ist und jede Hürde steht.
handover-how-cue = Nur sagen, was in Anführungszeichen steht. Leicht und schnell loben, nie hoch.
handover-how-note = Aufschreiben, bei wem was kippt: im Programm tippen oder auf dem Zählbogen ankreuzen.
handover-how-stop = Mehrere hintereinander gekippt: noch ein Versuch, langsamer. Schmerz: aufhören, aussetzen, melden ({ $who }).
handover-who-default = Sekretariat
handover-lanes = Bahnen und Blöcke
handover-say = Sagen und beachten
handover-children = Kinder, auf die zu achten ist
handover-child-easier = Schonen sich, keine Sprints oder Wenden: { $names }.
handover-child-unseen = Bisher zu wenig gesehen, zuerst ansehen: { $names }.
handover-child-helping = Da, laufen aber nicht, sie helfen: { $names }.
handover-child-absent = Fehlen heute: { $names }.
handover-child-fault = „{ $cue }“ hilft: { $names }.
handover-child-none = Bei keinem Kind ist etwas Besonderes vermerkt.

## In the app
app-findings-papers = Auf Papier
app-papers-cards = Karten für die Kinder
app-papers-cards-what = Eine Seite für jedes Kind: was es kann, was sich geändert hat, woran es arbeitet, was als Nächstes kommt. Kein Kind wird mit einem anderen verglichen.
app-papers-words = Sprache
app-papers-plain = Einfach
app-papers-very-plain = Sehr einfach
app-papers-sheet = Auf einem Blatt
app-papers-two = Zwei, zum Schneiden
app-papers-one = Eine, groß
app-papers-print-cards = Karten drucken
app-papers-class = Klassenbericht
app-papers-class-what = Für Sie und die Schule: wie viele Kinder wo stehen, wie es ging, was die Stunden brachten, Bahnen, wer zu wenig gesehen wurde.
app-papers-print-class = Bericht drucken
app-papers-handover = Übergabe
app-papers-handover-what = Ein Blatt für die nächste Vertretung: Bahnen, Abstände, Übungen, Zurufe, Aufgaben, Kinder, auf die zu achten ist.
app-papers-print-handover = Übergabe drucken
app-papers-no-lesson = Dafür braucht es eine geplante Stunde.
app-papers-to-lesson = Stunde planen
app-papers-values = Die Werte in Worten
