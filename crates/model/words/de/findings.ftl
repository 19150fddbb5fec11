# Ergebnisse: Zeichnungen und Bögen zu gekippten Hürden und die Seite, die sie zeigt.

## Figures
draw-rate-title = Hürden, die stehen bleiben: { $name }
draw-rate-said = { $mean } von 100 Hürden bleiben wohl stehen, wahrscheinlich zwischen { $low } und { $high }; für „Weiter“ sind { $needed } nötig.
draw-knocks-axis = Anteil der Male, die sie kippte
draw-knocks-hurdle = Hürde
draw-knocks-title = Bahn { $lane }: Keine Hürde fällt auf
draw-knocks-title-suspect = Bahn { $lane }: Hürde { $hurdle } kippt leichter als die anderen
draw-knocks-one = Hürde { $hurdle }: { $knocks } von { $met }.
draw-knocks-of = { $knocks }/{ $met }
draw-knocks-look = ansehen

## The counting sheet
draw-counting-title = Bahn { $lane }: für ein anderes Kind zählen
draw-counting-how = Beobachte immer nur ein Kind. Kreise nach jedem Lauf die Nummer jeder Hürde ein, die gekippt ist. Nichts gekippt: Kreise die 0 ein. Hürden, die schon vorher lagen, zählen nicht.
draw-counting-after = Gib das Blatt deiner Lehrkraft. Nur die Nummern sind wichtig; es gibt keine Rangliste.
draw-counting-child = Kind
draw-counting-run = Lauf { $run }

## The screen
app-tab-findings = Ergebnis
app-findings-title = Ergebnisse
app-findings-none = Noch keine Läufe. Am Bahnrand welche aufnehmen oder einen Zählbogen eintippen.
app-to-trackside = Läufe aufnehmen
app-findings-part = Anzeigen
app-findings-children = Nach Kindern
app-findings-lanes = Nach Bahnen
app-findings-watch = Wen ansehen
app-findings-pressure = Unter Druck
app-findings-how = Von 100 Hürden: Der Punkt ist, wie viele wohl stehen bleiben, die Linie der wahrscheinliche Bereich, der Strich, was für „Weiter“ nötig ist; die Skala geht von 40 bis 100. Offener Punkt: zu wenig gesehen. „Weiter“ verlangt das mit einer Wahrscheinlichkeit von mehr als 75 % und die Technik in zwei angesehenen Läufen richtig. Jede Übung gilt, wie sie am Ende der Stunde stand, in der das Kind dort zuletzt gesehen wurde.
app-findings-clean = { $mean } von 100 Hürden bleiben stehen ({ $low } bis { $high })
app-findings-seen = { $runs ->
        [one] ein Lauf
       *[other] { $runs } Läufe
    }, { $hurdles } Hürden
app-findings-looks = { $looks ->
    [one] ein Blick auf die ganze Bahn
   *[other] { $looks } Blicke auf die ganze Bahn
}
app-findings-pulled = Wenige Läufe zählen weniger: Der Anteil ist zu dem hingezogen, was die Klasse zeigt.
app-findings-cue = Sagen: { $cue }
app-findings-easier = Eine leichtere Übung: { $drill }
app-findings-spacing-first = Zuerst auf den Abstand sehen: { $share } der Kinder dieser Größe zeigen dasselbe.
app-findings-spacing-misfit = Zuerst auf den Abstand sehen: Die Bahn liegt { $share } neben dem eigenen Abstand des Kindes.
app-findings-print-counting = Zählbögen drucken
app-findings-lane-how = Anteil der Läufe, in denen jede Hürde kippte, und wie oft sie überlaufen wurde.
app-findings-table-hurdle = Hürde
app-findings-table-fell = Gekippt
app-findings-table-met = Überlaufen
app-findings-table-share = Anteil gekippt (90-%-Bereich)
app-findings-share = { $low } bis { $high }
app-findings-runs = Die Läufe dahinter
app-findings-take-out = Diesen Lauf gab es nicht
app-findings-other-outs = Herausgenommene Läufe
app-findings-table-odds = Chance gegenüber den anderen
app-findings-odds = { $times } ({ $low }–{ $high })
app-findings-more = Mehr dazu
