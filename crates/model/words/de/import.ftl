# Klassenliste lesen: was verstanden wurde, was falsch ist, was zu fragen bleibt.
# `{ $remedy }`, `{ $unit }`, `{ $column }` und dergleichen sind andere Meldungen dieser Datei.

## What was understood
import-understood-children =
    { $children ->
        [0] Kein Kind gefunden.
        [one] Ein Kind gefunden.
       *[other] { $children } Kinder gefunden.
    }
import-understood-bad =
    { $bad ->
        [one] Eine Zelle ist falsch, deshalb lässt sich noch nichts übernehmen.
       *[other] { $bad } Zellen sind falsch, deshalb lässt sich noch nichts übernehmen.
    }
import-understood-bad-many = { $bad } Zellen sind falsch, deshalb lässt sich noch nichts übernehmen. Die ersten { $listed } sind aufgeführt.
import-understood-questions =
    { $questions ->
        [one] Eine Frage ist offen, deshalb lässt sich noch nichts übernehmen.
       *[other] { $questions } Fragen sind offen, deshalb lässt sich noch nichts übernehmen.
    }
import-encoding-chosen = Die Zeichen sind als { $encoding } gelesen, wie gewählt.
import-encoding-mark = Die Zeichen sind als { $encoding } gelesen; so sagt es eine Marke am Dateianfang.
import-encoding-plain = Es kommen nur einfache Buchstaben vor, die in jeder Kodierung gleich sind.
import-encoding-valid = Die Zeichen sind als { $encoding } gelesen; das passt auf alle.
import-encoding-nearly = Die Zeichen sind als { $encoding } gelesen; das passt auf fast alle.
import-encoding-zero-bytes = Die Zeichen sind als { $encoding } gelesen, weil jedes zweite Byte der Datei leer ist.
import-encoding-guessed = Die Zeichen sind als { $encoding } gelesen. Das ist aus den Sonderzeichen der Datei geraten.
import-delimiter-comma = ein Komma
import-delimiter-semicolon = ein Semikolon
import-delimiter-tab = ein Tabulator
import-delimiter-bar = ein senkrechter Strich
import-delimiter-one-column = nichts, es gibt nur eine Spalte
import-delimiter-said-chosen = Zwischen zwei Spalten steht { $delimiter }, wie gewählt.
import-delimiter-said-stated = Zwischen zwei Spalten steht { $delimiter }; so sagt es die erste Zeile.
import-delimiter-said-found = Zwischen zwei Spalten steht { $delimiter }.
import-delimiter-said-one-column = Es gibt nur eine Spalte.
import-decimal-point = Dezimalzahlen haben einen Punkt, wie 1.43.
import-decimal-comma = Dezimalzahlen haben ein Komma, wie 1,43.
import-decimal-mixed = Manche Dezimalzahlen haben einen Punkt, manche ein Komma. Beides wird als Dezimalzeichen gelesen.
import-decimal-chosen-point = Dezimalzahlen haben einen Punkt, wie gewählt.
import-decimal-chosen-comma = Dezimalzahlen haben ein Komma, wie gewählt.

## Columns
import-column-heading = „{ $heading }“
import-column-number = Spalte { $number }
import-column = { $column }: { $meaning }. Zum Beispiel: { $sample }.
import-column-unit = { $column }: { $meaning }, Einheit: { $unit }. Zum Beispiel: { $sample }.
import-column-unit-guessed = { $column }: { $meaning }, Einheit: { $unit }, weil die Zahlen zu nichts anderem passen. Zum Beispiel: { $sample }.
import-column-empty = { $column }: { $meaning }. Nichts eingetragen.
import-column-not-used = { $column }: nicht genutzt. Zum Beispiel: { $sample }.
import-column-not-used-empty = { $column }: nicht genutzt. Nichts eingetragen.
import-column-not-read-in = { $column }: absichtlich weggelassen.
import-meaning-name = Name
import-meaning-first-name = Vorname
import-meaning-surname = Nachname
import-meaning-id = Kennung
import-meaning-sex = Mädchen oder Junge
import-meaning-age = Alter
import-meaning-age-date = Tag des Alters
import-meaning-birth-date = Geburtsdatum
import-meaning-stature = Größe
import-meaning-stature-date = Tag der Größenmessung
import-meaning-leg-length = Beinlänge
import-meaning-step-length = Schrittlänge
import-meaning-not-used = nicht genutzt
import-meaning-not-read-in = absichtlich weggelassen
import-unit-none = keine Einheit
import-unit-cm = Zentimeter
import-unit-m = Meter
import-unit-mm = Millimeter
import-unit-inches = Zoll
import-unit-feet = Fuß und Zoll
import-unit-feet-point-inches = Fuß und Zoll, sodass 4.5 dann 4 ft 5 in ist
import-unit-feet-decimal = Fuß mit Dezimalstellen, sodass 4.5 dann 4 ft 6 in ist
import-unit-years = Jahre
import-unit-years-point-months = Jahre und Monate, sodass 11.10 dann 11 Jahre und 10 Monate ist
import-unit-years-decimal = Jahre mit Dezimalstellen
import-unit-months = Monate

## Wrong cells: what is wrong and what to do
import-bad-cell = Zeile { $line }, { $column }: „{ $provided }“. { $remedy }
import-bad-empty-cell = Zeile { $line }, { $column }: { $remedy }
import-bad-number = Diese Zahl ist nicht lesbar. Bitte so: 143 oder 143,5, oder die Zelle leer lassen.
import-bad-length-form = Diese Länge ist nicht lesbar. Bitte so: 143, 1,43 m oder 4 ft 8 in, oder die Zelle leer lassen.
import-bad-step-form = Diese Schrittlänge ist nicht lesbar. Bitte so: 1,26 oder 126 cm, oder die Zelle leer lassen.
import-bad-formula = Die Tabelle zeigt hier einen Fehler oder eine Formel. Den Wert eintragen oder die Zelle leer lassen.
import-bad-feet = Fuß und Zoll passen nicht zusammen: Zoll gehen von 0 bis 11. Bitte so: 4 ft 8 in, oder in Zentimetern.
import-bad-stature = Eine Größe liegt zwischen { $low } und { $high }. Berichtigen oder die Zelle leer lassen.
import-bad-leg-length = Eine Beinlänge liegt zwischen { $low } und { $high }. Berichtigen oder die Zelle leer lassen.
import-bad-step-length = Ein Laufschritt liegt zwischen { $low } und { $high }. Berichtigen oder die Zelle leer lassen.
import-bad-other-unit = Diese Spalte ist so gelesen: { $unit }. Diese Zahl würde hierzu passen: { $other }. Wie die anderen schreiben oder die Einheit dahinter setzen.
import-bad-age = Ein Alter liegt zwischen { $low } und { $high } Jahren. Berichtigen oder die Zelle leer lassen.
import-bad-age-form = Dieses Alter ist nicht lesbar. Bitte so: 11, 11,5 oder 11y 4m, oder die Zelle leer lassen.
import-bad-date-form = Dieses Datum ist nicht lesbar. Bitte so: 2014-03-12, oder die Zelle leer lassen.
import-bad-date-none = Diesen Tag gibt es nicht. Das Datum so schreiben: 2014-03-12, oder die Zelle leer lassen.
import-bad-date-order = Tag und Monat stehen hier andersherum als sonst in der Datei. Das Datum so schreiben: 2014-03-12.
import-bad-date-range = Erwartet war ein Jahr von { $first } bis { $last }. Berichtigen oder die Zelle leer lassen.
import-bad-date-ahead = Dieser Tag kommt erst noch. Berichtigen oder die Zelle leer lassen.
import-bad-date-serial = Das ist ein Datum, wie eine Tabelle ihre Tage zählt. Dort die Spalte als Datum formatieren und die Datei neu speichern.
import-bad-date-year = Ein Jahr allein ist für ein Datum zu wenig. Das ganze Datum schreiben oder das Alter in einer eigenen Spalte angeben.
import-bad-before-birth = Dieser Tag liegt vor dem Geburtsdatum. Eins von beiden berichtigen.
import-bad-sex = Das war nicht zu verstehen. m oder w schreiben oder die Zelle leer lassen.
import-bad-name-missing = Der Name fehlt. Kürzel oder Vornamen schreiben oder die Zeile herausnehmen.
import-bad-name-long = Ein Name hat höchstens { $longest } Buchstaben. Bitte kürzen.
import-bad-name-lines = Im Namen steht ein Zeilenumbruch. Herausnehmen und sehen, ob in der Nähe ein Anführungszeichen fehlt.
import-bad-name-cells = Das sieht aus wie eine ganze Zeile in einer Zelle. Zwischen die Spalten dasselbe Zeichen setzen wie in den anderen Zeilen.
import-bad-control = In dieser Zelle steht ein unsichtbares Zeichen. Den Text neu tippen.
import-bad-letter = Ein Buchstabe ist nicht lesbar. Eine andere Kodierung wählen oder den Text neu tippen.
import-bad-id-twice = Diese Kennung steht schon in Zeile { $first }. Jedes Kind braucht seine eigene.
import-bad-extra-cells = Diese Zeile hat mehr Zellen als die Kopfzeile. Wahrscheinlich steht { $delimiter } in einer Zahl oder einem Namen. Diese Zelle in Anführungszeichen setzen oder die Liste mit einem anderen Trennzeichen speichern.
import-bad-cell-long = In dieser Zelle stehen mehr als { $longest } Buchstaben. Kürzen oder die Spalte herausnehmen.

## Questions and answers
import-ask-decimal = Was bedeutet { $number }?
import-answer-decimal = { $number }, mit Dezimalstellen
import-answer-thousands = { $number }, eine ganze Zahl
import-ask-date-order = Welcher Tag ist { $date }?
import-ask-date-both = In Daten wie { $first } und { $second } stehen Tag und Monat verschieden herum. Welche Reihenfolge stimmt?
import-answer-day-first = Zuerst der Tag.
import-answer-month-first = Zuerst der Monat.
import-answer-date = { $day }. { $month } { $year }
import-ask-unit = In welcher Einheit ist { $column } ({ $sample })?
import-ask-unit-heading = Die Überschrift { $column } passt nicht zu den Zahlen ({ $sample }). In welcher Einheit sind sie?
import-ask-feet = Was bedeuten die Dezimalstellen in { $column } ({ $sample })?
import-ask-age-unit = Ist das Alter in { $column } ({ $sample }) in Monaten oder in Jahren?
import-ask-age-point = Was bedeuten die Dezimalstellen in { $column } ({ $sample })?
import-ask-column = Was steht in { $column } ({ $sample })?
import-ask-which-column = Mehrere Spalten kommen in Frage für: { $meaning }. Welche zählt?
import-ask-names = In welcher Spalte stehen die Namen?
import-answer-column = { $column } ({ $sample })
import-ask-sex-letter = Für wen steht der Buchstabe { $letter }?
import-answer-girls = Mädchen
import-answer-boys = Jungen
import-ask-title = Ist „{ $text }“ ein Kind oder eine Überschrift?
import-answer-title = Eine Überschrift
import-answer-child = Ein Kind
import-month-1 = Januar
import-month-2 = Februar
import-month-3 = März
import-month-4 = April
import-month-5 = Mai
import-month-6 = Juni
import-month-7 = Juli
import-month-8 = August
import-month-9 = September
import-month-10 = Oktober
import-month-11 = November
import-month-12 = Dezember

## What the coach should know
import-no-header = Die Liste hat keine Überschriften.
import-names-taken = Die Namen stammen aus { $column }.
import-names-from-ids = Es gibt keine Namensspalte, deshalb dienen die Kennungen als Namen.
import-list-marks = Nummern oder Zeichen vor den Namen sind weggelassen, wie hier: { $sample }
import-titles-left-out =
    { $lines ->
        [one] Zeile { $first } über der Tabelle ist weggelassen: { $text }
       *[other] Die Zeilen { $first } bis { $last } über der Tabelle sind weggelassen. Sie beginnen mit: { $text }
    }
import-header-repeated = Zeile { $line } wiederholt die Überschriften und ist weggelassen.
import-footer-left-out = Zeile { $line } unter den Kindern ist weggelassen: { $text }
import-equal-names = { $name } steht in Zeile { $first } und noch einmal in Zeile { $line }. Der zweite Eintrag heißt jetzt { $new }. Ist es dasselbe Kind, eine Zeile herausnehmen.
import-surnames-shortened = Nachnamen sind auf die ersten Buchstaben gekürzt; das genügt, um ein Kind zu rufen. Auf Wunsch bleiben sie ganz.
import-short-years = { $column } hat zweistellige Jahre, etwa { $sample }. Sie sind als Jahre von 1990 bis 2035 gelesen; bitte eins prüfen.
import-check-letters = Bitte die Sonderzeichen in diesen Namen prüfen: { $names }. Sehen sie falsch aus, eine andere Kodierung wählen.
import-garbled-letters = Die Sonderzeichen in { $name } sehen entstellt aus. Dann war die Liste schon vor dem Speichern entstellt: noch einmal als „CSV UTF-8“ speichern.
import-not-read-in =
    { $number ->
        [one] { $columns } ist absichtlich weggelassen: Die Bahnen brauchen es nicht, und was nicht gespeichert ist, kann nicht verloren gehen.
       *[other] { $columns } sind absichtlich weggelassen: Die Bahnen brauchen sie nicht, und was nicht gespeichert ist, kann nicht verloren gehen.
    }
import-not-used =
    { $number ->
        [one] { $columns } wird nicht genutzt.
       *[other] { $columns } werden nicht genutzt.
    }
import-stride = { $columns } wird nicht genutzt, weil damit ein Schritt oder zwei gemeint sein können. Ist es einer, die Spalte „Schrittlänge“ nennen.
import-birth-year = { $columns } wird nicht genutzt, weil ein Jahr allein zu wenig ist. Wenn möglich Alter oder Geburtsdatum angeben.
import-cells-of-several-lines =
    { $number ->
        [one] Eine Zelle in Zeile { $lines } geht über mehrere Zeilen. Fehlen Kinder, fehlt dort ein Anführungszeichen.
       *[other] Zellen in den Zeilen { $lines } gehen über mehrere Zeilen. Fehlen Kinder, fehlt dort ein Anführungszeichen.
    }

## A list beside a class
import-compare-all-new = Alle { $all } Kinder sind neu in dieser Klasse.
import-compare-nothing-new = Alle { $known } Kinder der Liste sind schon in dieser Klasse, mit denselben Angaben.
import-compare-some-new = { $known } von { $all } Kindern sind schon in dieser Klasse. Davon mit anderen oder mehr Angaben in der Liste: { $changed }. Neu: { $new }.

## The file as a whole
import-error-empty = Die Datei ist leer. Bitte die Datei mit der Klassenliste wählen.
import-error-too-large = Die Datei hat { $provided } MB; höchstens { $allowed } MB gehen. Nur das Blatt mit der Klasse als CSV speichern.
import-error-too-many-rows = Die Liste geht nach { $allowed } Kindern weiter, in Zeile { $line }. Jede Klasse oder Stufe als eigene Datei speichern.
import-error-too-many-columns = Zeile { $line } hat { $provided } Spalten; höchstens { $allowed } gehen. Nur die Spalten mit Namen, Alter und Größe behalten.
import-error-workbook = Das ist eine Arbeitsmappe, keine Textdatei. Öffnen, „Speichern unter“ wählen, dann „CSV“.
import-error-old-workbook = Das ist eine Arbeitsmappe der alten Art, keine Textdatei. Öffnen, „Speichern unter“ wählen, dann „CSV“.
import-error-pdf = Das ist ein PDF. Bitte die Klassenliste als Tabelle besorgen und als CSV speichern.
import-error-picture = Das ist ein Bild oder ein Film. Die Namen in eine Liste tippen, ein Kind je Zeile, und als CSV oder Text speichern.
import-error-web-page = Das ist eine Webseite, auch wenn der Name anderes sagt. In einem Tabellenprogramm öffnen, „Speichern unter“ wählen, dann „CSV“.
import-error-structured = Das ist keine Tabelle aus Zeilen und Spalten. In dem Programm öffnen, aus dem sie kommt, und die Liste als CSV speichern.
import-error-binary = Das ist keine Textdatei. Die Klassenliste als CSV speichern.
import-error-unknown-encoding = Eine Kodierung namens { $provided } gibt es nicht. Bitte eine aus der Liste wählen.
import-error-unclosed-quote = Ein Anführungszeichen in Zeile { $line } wird nie geschlossen. Das zweite setzen oder das erste herausnehmen.
import-error-no-names = Nach den Überschriften in Zeile { $line } steht in keiner Spalte ein Name. Eine Spalte „Name“ hinzufügen.
import-error-no-rows = Unter den Überschriften steht kein Kind. Für jedes Kind eine Zeile hinzufügen.
import-error-not-accepted = Nichts übernommen: falsche Zellen: { $bad }, offene Fragen: { $questions }.
