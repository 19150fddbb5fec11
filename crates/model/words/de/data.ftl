# Löschen und Ausgeben, auf den Seiten und im Programm.

data-erase-child = Dieses Kind löschen
data-erase-child-hint = Von der Liste nehmen verbirgt ein Kind und lässt sich rückgängig machen. Löschen nicht: Das Kind und alles, was von ihm gesehen wurde, verschwindet sofort von diesem Gerät, vom Server und von jedem anderen Gerät beim nächsten Kontakt.
data-erase-class = Diese Klasse löschen
data-erase-class-hint = Wegnehmen verbirgt die Klasse und lässt sich rückgängig machen. Löschen nicht: Die Klasse, ihre Kinder und alles, was von ihnen gesehen wurde, verschwinden sofort von diesem Gerät, vom Server und von jedem anderen Gerät beim nächsten Kontakt.
data-erase-goes = Das geht für immer verloren:
data-goes-labels = { $count ->
    [one] ein Kind mit seinem Namen
   *[other] { $count } Kinder mit ihren Namen
}
data-goes-about = { $count ->
    [one] ein Eintrag zu Alter, Geschlecht oder Größe
   *[other] { $count } Einträge zu Alter, Geschlecht oder Größe
}
data-goes-runs = { $count ->
    [one] ein Lauf, Rundblick oder Durchgang
   *[other] { $count } Läufe, Rundblicke und Durchgänge
}
data-goes-times = { $count ->
    [one] einmal gestoppt
   *[other] { $count }-mal gestoppt
}
data-goes-others = { $count ->
    [one] ein weiterer Eintrag
   *[other] { $count } weitere Einträge
}
data-erase-stays = Was bleibt: gespeicherte oder gedruckte Kopien, und Sicherungen, bis sie ablaufen.
data-erase-type = Zum Löschen { $name } eintippen
data-erase-not-name = Das ist nicht der Name. Nichts wurde gelöscht.
data-erase-do = Für immer löschen
data-erase-keep = Behalten
data-said-erased = { $count ->
    [one] Ein Eintrag wurde gelöscht.
   *[other] { $count } Einträge wurden gelöscht.
}
data-save-copy-class = Kopie speichern
data-said-copy = { $count ->
    [one] Ein Eintrag ist in der Datei, die Sie bekommen haben. Sie enthält Namen: gut aufbewahren.
   *[other] { $count } Einträge sind in der Datei, die Sie bekommen haben. Sie enthält Namen: gut aufbewahren.
}

# Was in Dateien für die Forschung steht

data-research-k = Jede Verbindung von Geschlecht, Altersstufe und Größenstufe in children.csv kommt mindestens { $count }-mal vor (k-Anonymität, Sweeney 2002).
data-research-names = Namen, Kennungen, Klassen, Bahnen und Aufbauten fehlen. Die Kürzel der Kinder sind für diese Ausgabe ausgelost und nirgends aufbewahrt.
data-research-bands = Alter steht in Stufen von 2 Jahren, Größe in Stufen von 10 cm. Geburtsdaten, Beinlängen, Schritte und frühere Größen fehlen.
data-research-days = Daten und Uhrzeiten fehlen. Tage sind ab einem ungenannten Tag gezählt; die Läufe eines Kindes an einem Tag stehen in ihrer Reihenfolge.
data-research-gaps = Abstände sind auf 0,1 m gerundet, da sie nach der Größe des Kindes gewählt wurden.
data-research-no-stature = { $count ->
    [one] Bei einem Kind fehlt die Größe.
   *[other] Bei { $count } Kindern fehlt die Größe.
}
data-research-no-age = { $count ->
    [one] Bei einem Kind fehlen Größe und Alter.
   *[other] Bei { $count } Kindern fehlen Größe und Alter.
}
data-research-no-sex = { $count ->
    [one] Bei einem Kind fehlen Größe, Alter und Geschlecht.
   *[other] Bei { $count } Kindern fehlen Größe, Alter und Geschlecht.
}
data-research-left-out = { $count ->
    [one] Ein Kind fehlt mit allem, was von ihm gesehen wurde.
   *[other] { $count } Kinder fehlen mit allem, was von ihnen gesehen wurde.
}
data-research-others = Anwesenheit, Wünsche, Größenreihen, Pläne, Material und Fläche fehlen.
data-research-still = Wer dabei war, kann ein Kind noch an dem erkennen, was es getan hat. Diese Dateien nur Leuten geben, die zugesagt haben, das nicht zu versuchen, und vorher die Datenschutzbeauftragten der Schule fragen.
