# Zuhören neben der Bahn, in der App.

## The frame
sound-part = Nach Gehör
sound-how = Für eine Bahn: Das Telefon neben ihre Mitte legen, Mikrofon nach oben, nicht in die Tasche. Ein Kind läuft, die anderen Bahnen warten und sind leise.
sound-private = Der Ton bleibt auf diesem Telefon. Die nächste Aufnahme ersetzt ihn, wenn er nicht behalten wird.
sound-no-hurdles = Bei dieser Übung gibt es keine Abstände zum Zählen: Schritte sind zu hören, Hürden nicht.

## Recording
sound-record = Aufnehmen
sound-again = Noch einmal aufnehmen
sound-cancel = Abbrechen
sound-stop = Stopp
sound-open-file = Tondatei öffnen
sound-asking = Der Browser fragt, ob er das Mikrofon benutzen darf.
sound-counting = Aufnahme in { $seconds } …
sound-recording = { $seconds } s, höchstens { $most } s
sound-stops-itself = Sie endet von selbst, wenn der Lauf vorbei ist.
sound-reading = Lese die Datei …
sound-listening = Höre zu …
sound-level = Pegel
sound-level-good = Gut zu hören.
sound-level-loud = Zu laut: Das Telefon einen Schritt weiter weglegen.
sound-level-silent = Nichts zu hören: Ist das Mikrofon verdeckt?

## What does not work, and what still does
sound-not-secure = Browser geben das Mikrofon nur für sichere Seiten (https) frei; diese ist keine. Stattdessen eine Tondatei öffnen oder Läufe tippen.
sound-no-permission = Das Mikrofon ist für diese Seite nicht erlaubt. In den Einstellungen des Browsers erlauben, eine Tondatei öffnen oder Läufe tippen.
sound-no-microphone = Dieses Gerät zeigt kein Mikrofon. Eine Tondatei öffnen oder Läufe tippen.
sound-busy-microphone = Eine andere App benutzt das Mikrofon. Diese schließen und noch einmal versuchen.
sound-no-recorder = Dieser Browser kann hier nicht aufnehmen. Eine Tondatei öffnen oder Läufe tippen.
sound-broke-off = Das Mikrofon wurde stumm: Die Aufnahme endete früher.
sound-file-unreadable = Dieser Browser kann die Datei nicht als Ton lesen. WAV und M4A gehen meistens.
sound-file-too-big = Die Datei ist größer als { $most } MB: erst den Lauf herausschneiden.
sound-no-listener = Dieser Browser kann den Teil, der zuhört, nicht starten. Seite neu laden oder den Lauf tippen.

## What was heard
sound-heard = Was zu hören war
sound-not-heard = Keine Antwort aus dieser Aufnahme
sound-play = Die Aufnahme
sound-crossing = Hürde 1 kommt nach Kontakt { $contact }
sound-crossing-guessed = Das ist geraten ({ $p } sicher). Anhören und verschieben, wenn die Hürden nicht passen.
sound-crossing-chosen = Von Ihnen gewählt.
sound-crossing-right = Das stimmt
sound-crossing-earlier = Einen Kontakt früher
sound-crossing-later = Einen Kontakt später
sound-not-counted = Zu wenige Kontakte, um die Hürden zu unterscheiden: antippen, was gekippt ist.
sound-look = Zur Bahn sehen, dann antippen, was gekippt ist oder nicht.
sound-which = { $count ->
    [one] 1 Berührung gehört: welche Hürde?
   *[other] { $count } Berührungen gehört: welche Hürden?
}
sound-none-fell = Keine ist gekippt
sound-no-other-fell = Keine weitere ist gekippt
sound-unplaced =
    { $count ->
        [one] Eine Berührung ist keiner Hürde sicher zuzuordnen: nachsehen, welche gekippt ist.
       *[other] { $count } Berührungen sind keiner Hürde sicher zuzuordnen: nachsehen, welche gekippt sind.
    }
sound-speeds = Tempo in den Abständen
sound-drop = Verwerfen
sound-said-run = { $name } · Lauf { $number }, gehört: { $what }
sound-note-first = Erst wählen, wer läuft, dann aufnehmen.
sound-note-heard = Kurz prüfen, dann speichern.

## The spacing, from what was heard
heard-what = Was gelaufen wird
heard-what-lane = Über Hürden
heard-what-free = Frei, ohne Hürden
heard-free-how = Ein freier Lauf über eine bekannte Strecke: Das Telefon neben ihre Mitte legen. Ein Kind läuft in gleichmäßigem Tempo hinein und hinaus; die Zeit zwischen den Marken stoppen.
heard-no-cadence = Zu wenige Schritte waren zu hören, um zu sagen, wie schnell die Füße kommen. Eine längere Strecke aufnehmen.
heard-step-title = Schritt dieses Laufs
heard-step-how = Der Ton gibt die Schritte in der Sekunde. Mit Strecke und Zeit wird daraus der eigene Schritt dieses Kindes.
heard-time-hint = s, mit der Uhr
heard-distance-wrong = Strecke: { $what }
heard-time-wrong = Zeit: { $what }
heard-time-missing = Zeit: fehlt. Die Sekunden von der ersten bis zur letzten Marke eingeben.
heard-step-range = Bei { $cadence } Schritten in der Sekunde wären das Schritte von { $step }. Sekunden und Strecke prüfen oder noch einmal aufnehmen.
heard-save-step = Diesen Schritt speichern
heard-gap-title = Der Abstand
heard-gap-look = Erst hinsehen: Trippeln heißt zu eng, nach vorn greifen heißt zu weit. Es wird mit dem Lauf gespeichert.
heard-gap-not-enough = Zu wenig war zu hören, um zu sagen, ob der Abstand passt.
heard-agree-close = Auch gesehen: { $gap } ist für { $name } zu eng
heard-agree-right = Auch gesehen: { $gap } ist für { $name } richtig
heard-agree-far = Auch gesehen: { $gap } ist für { $name } zu weit

## Kept recordings
sound-keep = Aufnahme { $days } Tage behalten
sound-keep-on = Auf diesem Telefon bis { $date }
sound-not-kept = Sie ließ sich nicht behalten: { $reason }
sound-kept = Behaltene Aufnahmen
sound-kept-where = Nur auf diesem Telefon, nie gesendet. Jede wird an ihrem Tag gelöscht, oder jetzt von Ihnen.
sound-kept-row = { $name }, Bahn { $lane }
sound-kept-times = { $date }, { $seconds } s, wird am { $until } gelöscht
sound-kept-nobody = Kein Kind
sound-delete = Löschen
sound-listen-again = Abspielen
