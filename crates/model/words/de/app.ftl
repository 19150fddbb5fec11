# Die Wörter der Web-App. Deutsch.
# Zahlen bringen ihre Einheit mit: `{ $gap }` ist „1,25 m“ oder „4 ft 1 in“.

## The frame
app-skip = Zum Inhalt
app-tabs = Seiten
app-tab-class = Klasse
app-tab-today = Heute
app-tab-kit = Material
app-tab-lanes = Bahnen
app-choose-class = Klasse wählen
app-close = Schließen
app-dismiss = Zeile ausblenden
app-save = Speichern
app-done = Fertig
app-undo = Rückgängig
app-undone = Zurückgenommen: { $what }
app-undo-changed-since = Das wurde inzwischen auf einem anderen Gerät geändert und bleibt deshalb so.
app-take-back = Zurücknehmen
app-and = { $first } und { $last }
app-less = eins weniger
app-more = eins mehr
app-update-ready = Eine neuere Fassung ist da. Beim Neuladen geht nichts verloren.
app-update-now = Jetzt neu laden
app-reading = Lese, was auf diesem Gerät ist …
app-to-class = Zur Klassenliste
app-to-today = Zu Heute
app-to-kit = Zu Material und Platz
app-to-choice = Übungen wählen
app-to-floor = Fläche eingeben

## Where the data is
app-safe-device = Auf diesem Gerät
app-safe-sending = Wird gesendet
app-safe-confirmed = Bestätigt
app-safe-trouble = Bitte ansehen
app-data-title = Wo Ihre Daten sind
app-contact-unknown = Der Schulserver wurde noch nicht gefragt.
app-contact-open = Der Schulserver hat alles bis hierher bestätigt.
app-contact-no-answer = Der Schulserver antwortet nicht. Einfach weiterarbeiten: Alles bleibt auf diesem Gerät und wird gesendet, sobald der Server wieder da ist.
app-contact-other-school = Auf diesem Gerät sind die Listen einer anderen Schule; deshalb wird nichts an diesen Server gesendet. Kopie speichern, dann für diese Schule ein neues Browserprofil nehmen.
app-contact-other-version = App und Server verstehen einander nicht. Diese Seite neu laden, während der Server läuft. Es geht nichts verloren.
app-data-here = { $count ->
    [0] Auf diesem Gerät ist noch nichts gespeichert.
    [one] Ein Eintrag ist auf diesem Gerät gespeichert.
   *[other] { $count } Einträge sind auf diesem Gerät gespeichert.
}
app-data-waiting = { $count ->
    [0] Es ist nichts mehr zu senden.
    [one] Ein Eintrag ist noch zu senden.
   *[other] { $count } Einträge sind noch zu senden.
}
app-data-kept = Der Browser hat zugesagt, diese Daten zu behalten.
app-data-not-kept = Wird der Speicher knapp, darf der Browser diese Daten löschen. An den Server senden oder eine Kopie speichern.
app-data-not-asked = Private Fenster vergessen beim Schließen alles: ein gewöhnliches Fenster nehmen.
app-data-privacy = Die Daten bleiben auf diesem Gerät und auf dem Server Ihrer Schule. Sie gehen sonst nirgendwohin.
app-refused-clock-ahead = Der Server hat einen Eintrag abgelehnt, weil die Uhr dieses Geräts über einen Tag vorgeht. Uhr stellen, dann noch einmal senden.
app-refused-other-school = Der Server hat einen Eintrag abgelehnt, weil er zu einer anderen Schule gehört.
app-refused-bad-body = Der Server konnte einen Eintrag nicht lesen. Seite neu laden, damit die neueste App läuft, dann noch einmal senden.
app-refused-other = Der Server hat einen Eintrag abgelehnt. Seite neu laden, damit die neueste App läuft, dann noch einmal senden.
app-send-refused = Abgelehntes noch einmal senden
app-send-now = Jetzt senden
app-save-copy = Kopie speichern
app-units = Längen in
app-units-metric = Meter
app-units-feet = Fuß und Zoll
app-language = Sprache
app-language-english = English
app-language-german = Deutsch
app-no-storage = Dieser Browser behält nichts, deshalb lässt sich nichts speichern ({ $reason }). Speicher für diese Seite erlauben oder sie in einem gewöhnlichen Fenster öffnen.
app-not-saved = NICHT gespeichert ({ $reason }). Die Eingabe ist noch da: noch einmal versuchen.
app-stranger-title = Dieser Browser hat noch keinen Schlüssel zum Server
app-stranger-text = Öffnen Sie den Link, den das Programm beim Start gezeigt hat; er gilt einmal. Bis dahin bleibt alles nur auf diesem Gerät.

## Entries
app-entry-number = „{ $entry }“ ist keine Zahl. Bitte so: 12,5.
app-entry-count = Bitte eine ganze Zahl von { $low } bis { $high }.
app-entry-length-cm = „{ $entry }“ ist keine Länge. Bitte in Zentimetern, etwa 142, oder 1,42 m.
app-entry-length-m = „{ $entry }“ ist keine Länge. Bitte in Metern, etwa 5,25, oder 525 cm.
app-entry-length-ft = „{ $entry }“ ist keine Länge. Bitte so: 4 ft 8 in.
app-entry-between = Das muss zwischen { $low } und { $high } liegen. Einheit prüfen.
app-entry-date = „{ $entry }“ ist kein Datum. Bitte Jahr, Monat und Tag, etwa 2014-06-05.
app-entry-date-range = Das Datum muss zwischen { $low } und { $high } liegen. Jahr prüfen.
app-hint-cm = cm
app-hint-m = m
app-hint-ft = ft und in
app-hint-kg = kg
app-hint-grams = g
app-hint-newtons = N

## Class
app-welcome-title = Bahnen, die Ihren Kindern passen
app-welcome-text = Wer ist in der Klasse, welche Hürden gibt es, wie groß ist die Fläche? Daraus werden Bahnen mit den richtigen Abständen, Marken fürs Maßband und ein Plan zum Drucken.
app-welcome-privacy = Kürzel oder Vornamen genügen. Alles bleibt auf diesem Gerät und auf dem Server Ihrer Schule.
app-begin-import = Klassenliste einlesen
app-begin-import-hint = als CSV-Datei oder aus einer Tabelle eingefügt
app-begin-type = Namen eintippen
app-begin-type-hint = Größen können später folgen
app-begin-demo = Erst einmal umsehen
app-begin-demo-hint = mit der erfundenen Klasse 7 Lärche
app-class-summary = { $count ->
    [0] Noch keine Kinder.
    [one] Ein Kind
   *[other] { $count } Kinder
}{ $count ->
    [0] {""}
   *[other] {" "}· { $sized } mit Größe · { $stepped } mit gemessenen Schritten
}
app-children = { $count ->
    [0] noch keine Kinder
    [one] ein Kind
   *[other] { $count } Kinder
}
app-rename = Umbenennen
app-import = Liste einlesen
app-line-up = Der Größe nach aufstellen
app-add-label = Kind hinzufügen
app-add-hint = Name oder Kürzel
app-add = Hinzufügen
app-add-nothing = Erst einen Namen oder ein Kürzel eintippen.
app-class-empty = Kinder mit Namen hinzufügen oder eine Liste einlesen.
app-known-girl = Mädchen
app-known-boy = Junge
app-known-age = { $years } J.
app-known-leg = Bein { $length }
app-known-steps = Schritte gemessen
app-known-nothing = nur der Name
app-next-today = Weiter: wer heute da ist
app-new-class = Neue Klasse
app-new-class-title = Eine neue Klasse
app-class-name = Name der Klasse
app-class-name-hint = etwa 7 Lärche
app-class-name-missing = Bitte der Klasse einen Namen geben, etwa 7 Lärche.
app-class-names = Kinder
app-class-names-hint = eins je Zeile; geht auch später
app-save-class = Klasse anlegen
app-class-name-title = Diese Klasse
app-class-gone = Klasse wegnehmen
app-class-gone-hint = Die Klasse verschwindet mit ihrer Liste. Das lässt sich rückgängig machen.
app-said-added = { $name } steht auf der Liste.
app-said-added-many = { $count } Kinder stehen auf der Liste.
app-said-new-class = { $name } ist angelegt.
app-said-renamed = Die Klasse heißt jetzt { $name }.
app-said-class-gone = { $name } ist weggenommen.
app-said-off-list = { $name } steht nicht mehr auf der Liste.
app-said-child = { $name } ist gespeichert.

## One child
app-child-title = Ein Kind
app-child-gone = Dieses Kind steht nicht mehr auf der Liste.
app-child-label = Name
app-child-label-hint = oder Kürzel
app-label-missing = Bitte einen Namen oder ein Kürzel eintippen.
app-child-sex = Geschlecht, für die Wachstumstabellen
app-sex-girl = Mädchen
app-sex-boy = Junge
app-sex-none = Ohne Angabe
app-child-stature = Größe
app-child-leg = Beinlänge
app-child-age = Alter
app-child-age-hint = Jahre
app-age-range = Bitte ein Alter von 3 bis 25 Jahren.
app-child-born = Geboren
app-child-born-hint = statt des Alters
app-child-why = Nur der Name ist nötig. Jede Angabe mehr macht die Schätzung genauer; am besten ist ein gemessener Schritt. Die Beinlänge geht vom Boden bis zum äußeren Knochenhöcker oben am Oberschenkel.
app-take-off = Von der Liste nehmen
app-steps-title = Schritte
app-steps-none = Noch nichts gemessen.
app-step-length = Laufschritt { $length }
app-step-tape = { $distance } mit { $steps ->
    [one] einem Schritt
   *[other] { $steps } Schritten
}, mit Maßband
app-step-timed = { $steps } Schritte auf { $distance } in { $time } s
app-step-heard = { $distance } in { $time } s, gehört: { $cadence } Schritte in der Sekunde, Schritte von { $step }
app-step-counted = { $steps } Schritte auf { $distance }
app-step-too-close = { $gap } war zu eng ({ $drill })
app-step-right = { $gap } war richtig ({ $drill })
app-step-too-far = { $gap } war zu weit ({ $drill })
app-said-measurement-back = Die Messung ist zurückgenommen.

## Reading in a list
app-import-title = Klassenliste einlesen
app-import-how = Datei wählen oder Tabelle einfügen. Namen genügen; Geschlecht, Alter oder Geburtsdatum, Größe, Beinlänge und Schrittlänge werden genutzt, wenn sie dabei sind.
app-import-file = Datei wählen
app-import-paste = Oder hier einfügen
app-import-paste-go = Eingefügtes lesen
app-import-paste-hint = aus einer Tabelle, mit Überschriften
app-import-nothing = Erst eine Datei wählen oder eine Tabelle einfügen.
app-import-found = { $count ->
    [one] Ein Kind gefunden
   *[other] { $count } Kinder gefunden
}
app-import-question = { $count ->
    [one] Erst eine Frage
   *[other] Erst { $count } Fragen
}
app-import-columns = So sind die Spalten gelesen
app-import-col-sex = Geschl.
app-import-col-age = Alter, geboren
app-import-col-leg = Bein
app-import-col-step = Schritt
app-import-unreadable = Die Datei lässt sich nicht lesen ({ $reason }). Bitte noch einmal wählen.
app-import-bad = { $count ->
    [one] Eine Zelle ist vorher zu ändern
   *[other] { $count } Zellen sind vorher zu ändern
}
app-import-bad-how = In der Datei ändern und sie noch einmal wählen. Gespeichert wird erst, wenn alles stimmt.
app-import-bad-how-text = Im eingefügten Text ändern und ihn noch einmal lesen. Gespeichert wird erst, wenn alles stimmt.
app-import-more-bad = und { $count } weitere
app-import-rows = Die Kinder
app-import-into = Speichern in
app-import-into-new = Neue Klasse
app-import-name = Name der neuen Klasse
app-import-twice = Genau diese Datei wurde schon in { $class } eingelesen. Noch einmal speichern bringt nichts Neues.
app-import-missing-of = { $count ->
    [one] Ein Kind der Klasse steht nicht in der Liste und bleibt.
   *[other] { $count } Kinder der Klasse stehen nicht in der Liste und bleiben.
}
app-import-save = { $count ->
    [one] Ein Kind speichern
   *[other] { $count } Kinder speichern
}
app-import-save-changes = Neues speichern
app-import-nothing-new = Es gibt nichts Neues zu speichern.
app-import-again = Andere Datei wählen
app-import-change = Den Text ändern oder eine Datei wählen
app-said-import = { $count ->
    [one] Ein Kind ist
   *[other] { $count } Kinder sind
} in { $class } eingelesen.
app-said-import-changes = Das Neue ist in { $class } eingelesen.
app-demo-name = 7 Lärche

## Line up by size
app-line-up-title = Der Größe nach
app-line-up-how = Die Kinder stellen sich in einer Reihe auf. Vom größten bis zum kleinsten antippen, dann drei davon messen: Die anderen ergeben sich aus ihrem Platz.
app-line-up-next = als Nächstes
app-line-up-back = Letztes zurücknehmen
app-line-up-again = Von vorn
app-line-up-measure = Jetzt diese drei messen. Ein Feld darf leer bleiben, wenn die Größe bekannt ist.
app-line-up-tallest = Am größten: { $name }
app-line-up-middle = In der Mitte: { $name }
app-line-up-shortest = Am kleinsten: { $name }
app-line-up-three = Mindestens drei Kinder antippen.
app-line-up-entry = { $name }: { $what }
app-said-line-up = { $count } Kinder stehen der Größe nach.

## Today
app-today-title = Wer ist da
app-today-empty = Es gibt noch keine Klassenliste.
app-everybody = Alle da
app-counts = Wie viele
app-brush = Antippen, wer
app-present = da
app-easy = schont sich
app-helping = hilft
app-absent = fehlt
app-said-present = { $name } ist da.
app-said-easy = { $name } schont sich.
app-said-helping = { $name } hilft und läuft nicht.
app-said-absent = { $name } fehlt.
app-said-everybody = Alle sind da.
app-today-lanes = Was das für die Bahnen heißt
app-no-helpers = Niemand hilft: Wer als Nächstes dran ist, stellt gekippte Hürden auf.
app-job = { $name } stellt Hürden auf in { $count ->
    [one] Bahn { $lanes }
   *[other] den Bahnen { $lanes }
}.
app-wishes-title = Mit wem und wo
app-wishes-none = Keine Wünsche: Alle laufen, wo der Abstand am besten passt.
app-add-wish = Wunsch hinzufügen
app-wish-title = Ein Wunsch
app-wish-what = Was ist gewünscht
app-wish-kind-apart = Zwei getrennt
app-wish-kind-together = Zwei zusammen
app-wish-kind-only = Nur eine Bahn
app-wish-kind-never = Eine Bahn nicht
app-wish-first = Kind
app-wish-second = Anderes Kind
app-wish-lane = Bahn
app-choose-child = Kind wählen
app-wish-one = Bitte ein Kind wählen.
app-wish-two = Bitte zwei verschiedene Kinder wählen.
app-wish-together = { $first } und { $second } laufen in einer Bahn.
app-wish-apart = { $first } und { $second } laufen in verschiedenen Bahnen.
app-wish-only = { $name } läuft nur in Bahn { $lane }.
app-wish-never = { $name } läuft nicht in Bahn { $lane }.
app-said-wish-back = Zurückgenommen: { $wish }
app-next-kit = Weiter: Material und Platz

## Kit and space
app-kit-title = Material und Platz
app-hurdles-title = Hürden
app-kit-assumed = Vorerst rechnet das Programm mit einem üblichen Hürdensatz. Bitte eingeben, was da ist.
app-hurdles-of = Hürden von { $height }
app-hurdle-total = { $count ->
    [0] Keine Hürden.
    [one] Eine Hürde.
   *[other] { $count } Hürden.
}
app-lines-free = Linien auf dem Boden muss man nicht zählen: Kreide oder Klebeband ist immer da.
app-hurdle-width = Breite einer Hürde
app-base-depth = Tiefe des Fußes
app-shoe-length = Ihr Schuh, falls Sie Marken abschreiten
app-shoe-why = Damit steht jede Marke auch in Schuhlängen da.
app-said-hurdles = { $count } Hürden von { $height }.
app-said-kit = Die Hürden sind gespeichert.
app-floor-title = Fläche
app-floor-missing = Wie groß ist die Fläche? Dann zeigt sich, ob die Bahnen mit ihrem Auslauf passen.
app-floor-presets = Übliche Größen
app-floor-hall = Sporthalle
app-floor-small-hall = Kleine Halle
app-floor-track = Laufbahn, Gerade
app-floor-grass = Rasen
app-floor-size = { $length } × { $width }
app-floor-length = Länge in Laufrichtung
app-floor-width = Breite
app-floor-direction = Laufrichtung
app-walls = Wände
app-wall-start = hinter dem Start
app-wall-finish = hinter dem Ziel
app-wall-left = links
app-wall-right = rechts
app-wall-closed = Wand
app-wall-open = offen
app-surface = Boden
app-surface-hall = Hallenboden
app-surface-track = Laufbahn oder Kunstrasen
app-surface-grass = Trockener Rasen
app-surface-slippery = Rutschig
app-surface-hard = Asphalt
app-said-floor = Die Fläche ist { $length } × { $width }.
app-next-lanes = Weiter: die Bahnen
app-stand-in-title = Kippt eine Ersatzhürde leicht?
app-stand-in-how = Für alles, was keine Kipphürde ist. Auf den eigenen Boden stellen und oben drücken, wo ein Fuß treffen würde.
app-push-label = Mit einem Finger oder der Waage
app-push-easily = Ein Finger bewegt sie
app-push-hand = Es braucht eine Hand
app-push-hardly = Sie bewegt sich kaum
app-push-newtons = Federwaage, Newton
app-push-grams = Waage, Gramm
app-stand-in-scale = Die Waage zeigt
app-stand-in-reading = Bitte eintragen, was die Waage zeigt, wenn sich etwas bewegt.
app-stand-in-mass = Wie schwer sie ist
app-stand-in-figures = Alle Zahlen
app-stand-in-shape-why = Mit Masse, Höhe und Tiefe lässt sich berechnen, wie hart sie einen Fuß trifft.
app-stand-in-height = Höhe, wo der Fuß trifft
app-stand-in-depth = Tiefe, von vorn nach hinten
app-stand-in-centre = Höhe des Schwerpunkts
app-figure-tip = Kippt bei einem Druck von { $value }
app-figure-slide = Rutscht bei einem Druck von { $value }
app-figure-energy = Arbeit bis zum Kippen: { $value } J
app-figure-mass = Masse, die der Fuß trifft: { $value } kg
app-cautions = Vorsicht

## Lanes
app-lanes-title = Bahnen
app-lanes-no-class = Es gibt noch keine Klassenliste. Mit einer sind die Bahnen sofort da.
app-asked = Was gewünscht ist
app-asked-drill = Übung
app-asked-effort = Tempo
app-asked-effort-walk = im Gehen
app-asked-lanes = Bahnen
app-asked-lanes-of = { $count } (von { $possible } möglichen)
app-asked-sprint = Endsprint
app-asked-hurdles = Hürden
app-asked-floor = Fläche
app-asked-no-floor = fehlt noch
app-measure = Schritt messen
app-print = Plan drucken
app-fits = Es passt, { $spare } in der Länge bleiben übrig.
app-fits-not = Es passt nicht. Der Auslauf bleibt; eins davon hilft:
app-fits-no-floor = Wie groß ist die Fläche? Dann zeigt sich, ob es passt.
app-do-way = So machen
app-set-out = Bahnen aufbauen
app-gap = Abstand
app-tape = Maßband ab der Startlinie:
app-strip = Die ganze Bahn, maßstäblich
app-gaps-title = Der eigene Abstand jedes Kindes
app-col-child = Kind
app-col-gap = eigener Abstand, wahrscheinlich
app-col-lane = Bahn
app-col-fit = passt
app-outside = außerhalb
app-wide = weit
app-close-word = eng
app-printing = Auf Papier
app-printing-what = Der Plan, die Bahnstreifen und eine Markenliste für jede Bahn, schwarz auf weiß.
app-paper = Papier
app-paper-a4 = A4
app-paper-letter = Letter
app-print-names = Namen
app-print-with-names = Mit Namen
app-print-without-names = Ohne Namen
app-choice-title = Übungen, Tempo, Bahnen
app-drills-title = Übungen
app-drills-how = Nach der ersten gewählten Übung richten sich die Bahnen; die anderen müssen auf dieselben Marken passen.
app-main-drill = bestimmt die Bahnen
app-one-drill = Eine Übung muss bleiben. Erst eine andere wählen.
app-said-drill-in = { $drill } ist dabei.
app-said-drill-out = { $drill } ist draußen.
app-effort = Tempo
app-effort-easy = Locker
app-effort-learning = Lerntempo
app-effort-brisk = Zügig
app-effort-fast = Schnell
app-effort-full = So schnell ich kann
app-said-effort = Das Tempo ist { $effort } vom Höchsttempo.
app-lanes-wanted = Wie viele Bahnen
app-lanes-auto = Wie es passt
app-said-lanes = { $count ->
    [one] Eine Bahn.
   *[other] { $count } Bahnen.
}
app-said-lanes-auto = So viele Bahnen, wie passen.
app-sprint = Sprint nach der letzten Hürde
app-sprint-none = Keiner
app-said-sprint = { $room } Sprint nach der letzten Hürde.
app-said-sprint-none = Kein Sprint nach der letzten Hürde.
app-height = Höhe der Hürden
app-height-auto = Wie die meisten
app-floor-lines = Bodenlinien
app-said-height = Hürden von { $height }.
app-said-height-auto = Die Höhe, die die meisten Hürden haben.
app-said-floor-lines = Bodenlinien statt Hürden.
app-adults = Erwachsene, die zuschauen
app-said-adults = { $count ->
    [one] Eine erwachsene Person schaut zu.
   *[other] { $count } Erwachsene schauen zu.
}
app-full-length = Wieder voller Anlauf und alle Hürden
app-said-full-length = Voller Anlauf und alle Hürden.

## Measuring steps
app-measure-title = Schritt messen
app-measure-how = Wie
app-measure-try = Probieren
app-measure-tape = Maßband
app-measure-run = Mitzählen
app-measure-child = Wer
app-measure-who = Erst das Kind wählen.
app-try-how = { $drill }: Jedes Kind läuft durch einen Abstand; antippen, wie es aussah. Zwei Abstände in drei Minuten genügen für eine Klasse.
app-gap-standing = Der Abstand, der gerade steht
app-too-close = zu eng
app-right = richtig
app-too-far = zu weit
app-said-too-close = { $gap } war für { $name } zu eng.
app-said-right = { $gap } war für { $name } richtig.
app-said-too-far = { $gap } war für { $name } zu weit.
app-said-verdict-back = { $name } bei { $gap }: zurückgenommen.
app-steps-counted = Gezählte Schritte
app-tape-how = Das Kind läuft ohne Hürden im Lerntempo. Das Maßband über einige Schritte von Fußspitze zu Fußspitze legen.
app-tape-how-walk = Das Kind geht ohne Hürden. Das Maßband über einige Schritte von Fußspitze zu Fußspitze legen.
app-tape-distance = Von der ersten bis zur letzten Fußspitze
app-run-how = Ein freier Lauf über eine bekannte Strecke. Schritte zählen; mit Zeit wird es genauer.
app-run-distance = Strecke
app-run-time = Zeit
app-run-time-hint = s, falls gestoppt
app-time-range = Diese Zeit passt nicht zur Strecke. Sekunden und Strecke prüfen.
app-run-effort = Wie gelaufen wurde
app-said-steps = Die Schritte von { $name } sind gespeichert.
app-said-own-gap = Der eigene Abstand von { $name } ist { $gap }: Bahn { $lane }.

## Before the first run
app-conditions-title = Boden, Hitze, Gewitter
app-thunder-now = Gerade hat es gedonnert
app-thunder-mistake = Doch nicht: zurücknehmen
app-heat-air = Lufttemperatur
app-heat-humidity = Luftfeuchte
app-heat-wbgt = WBGT vom Messgerät, falls vorhanden
app-hint-celsius = °C
app-hint-fahrenheit = °F
app-hint-percent = %
app-heat-numbers = Bitte zwei Zahlen, zum Beispiel 29 und 60.
app-heat-range = { $provided } kann nicht sein; erlaubt ist { $allowed }.
