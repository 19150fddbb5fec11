# Andere Geräte hereinlassen, was jedes darf, und was der Server dazu sagt. Deutsch.

## Problems
problem-coach-only-title = Das darf nur die Lehrkraft.
problem-coach-only-detail = Dieses Gerät wurde als Hilfe hereingelassen. Die Lehrkraft bitten, es auf ihrem eigenen Telefon zu tun.
problem-link-in-clear-title = Ein hier gemachter Link könnte unterwegs gelesen werden.
problem-link-in-clear-detail = Dieses Telefon spricht unverschlüsselt mit dem Programm; andere im Netz könnten den Link zuerst nehmen. Den Link in einem Browser auf dem Rechner machen, auf dem das Programm läuft, oder das Programm mit Zertifikat starten.
problem-too-many-links-title = Es sind genug Links offen.
problem-too-many-links-detail = Höchstens { $links } warten zugleich. Einen benutzen, sie zurücknehmen oder warten: Jeder endet nach { $minutes } Minuten.
problem-not-understood-title = Das ist nicht lesbar.
problem-not-understood-detail = Nichts wurde geändert. Seite neu laden, damit App und Server zusammenpassen.

## Letting another phone in
devices-title = Weiteres Telefon hereinlassen
devices-lead = Einen Link für ein Telefon machen. Es öffnet den Link und ist drin: kein Konto, kein Passwort.
devices-who = Für wen ist er?
devices-helper = Hilfe
devices-coach = Zweite Lehrkraft
devices-helper-may = Eine Hilfe nimmt Läufe, Zeiten und Wenden auf. Das Telefon bekommt Namen, die Bahnen und die Läufe von heute; nie eine Größe, ein Geschlecht oder ein Geburtsdatum.
devices-coach-may = Eine zweite Lehrkraft sieht und ändert alles, wie Sie.
devices-lanes = In welchen Bahnen?
devices-lanes-all = Alle
devices-label = Name des Telefons
devices-label-hint = nicht nötig
devices-make = Link machen
devices-link-helper = Ein Link für eine Hilfe
devices-link-coach = Ein Link für eine zweite Lehrkraft
devices-link-once = { $minutes ->
    [one] Die Kamera des anderen Telefons auf das Quadrat richten. Der Link gilt einmal, eine Minute lang.
   *[other] Die Kamera des anderen Telefons auf das Quadrat richten. Der Link gilt einmal, { $minutes } Minuten lang.
}
devices-address = Unter welcher Adresse?
devices-qr = Der Link als Quadrat für eine Kamera
devices-another = Noch einen Link machen
devices-copy = Link kopieren
devices-said-copied = Der Link ist kopiert.
devices-said-selected = Dieser Browser kopiert nicht von selbst. Der Link ist markiert: Finger darauf halten, dann kopieren.
devices-no-answer = Das Programm antwortet nicht. Es macht die Links: noch einmal versuchen, wenn es läuft.
devices-here-only = Das Programm hört nur auf diesem Rechner, ein anderes Telefon erreicht es nicht. Ein Link von hier öffnet sich in einem anderen Browser auf diesem Rechner. Um Telefone hereinzulassen, das Programm beenden und genau wie zuvor starten, mit allem, was dahinter stand, und dies dazu, anstelle eines anderen --addr:
devices-in-clear = Diese Adresse hat kein Zertifikat: Andere im Netz können mitlesen und einen Link zuerst nehmen. Nur zum Probieren mit erfundenen Namen verwenden.
devices-tls-brings = Mit Zertifikat kann niemand mitlesen, Telefone arbeiten ohne Netz weiter, und das Mikrofon ist erlaubt. Dafür dazu:

## The devices that are in
devices-in-title = Telefone, die drin sind
devices-number = Telefon { $number }
devices-this = Dieses
devices-role-coach = Lehrkraft: alles
devices-role-helper = Hilfe: alle Bahnen
devices-role-helper-lanes = Hilfe: { $count ->
    [one] Bahn { $lanes }
   *[other] Bahnen { $lanes }
}
devices-days = Drin seit { $since }, zuletzt gesehen { $seen }
devices-sign-out = Abmelden
devices-sign-out-asks = Auf dem Telefon können Einträge sein, die noch nicht gesendet sind. Sie bleiben dort und kommen nach einem neuen Link an.
devices-sign-out-not = Drin lassen
devices-sign-out-others = Alle anderen abmelden und wartende Links zurücknehmen
devices-waiting = { $count ->
    [one] Ein Link wartet.
   *[other] { $count } Links warten.
}
devices-take-back = Zurücknehmen
devices-stays = Wer abgemeldet ist, bekommt und sendet nichts mehr. Was auf dem Telefon ist, bleibt dort: die Websitedaten in seinem Browser löschen.

## On a helper's phone
devices-you-help = Dieses Telefon hilft an den Bahnen: Es nimmt Läufe, Zeiten und Wenden auf.
devices-you-help-lanes = Dieses Telefon hilft an { $count ->
    [one] der Bahn { $lanes }
   *[other] den Bahnen { $lanes }
}: Es nimmt dort Läufe, Zeiten und Wenden auf.
devices-out-title = Dieses Telefon wurde abgemeldet
devices-out-helper = { $count ->
    [0] Hier wartet nichts Ungesendetes. Die Lehrkraft um einen neuen Link bitten.
    [one] Ein Eintrag wartet hier. Die Lehrkraft um einen neuen Link bitten: Dann wird er gesendet.
   *[other] { $count } Einträge warten hier. Die Lehrkraft um einen neuen Link bitten: Dann werden sie gesendet.
}
devices-out-coach = { $count ->
    [0] Hier wartet nichts Ungesendetes. Einen neuen Link öffnen, vom Telefon einer anderen Lehrkraft oder vom Programm, wenn es startet.
    [one] Ein Eintrag wartet hier. Einen neuen Link öffnen, vom Telefon einer anderen Lehrkraft oder vom Programm, wenn es startet: Dann wird er gesendet.
   *[other] { $count } Einträge warten hier. Einen neuen Link öffnen, vom Telefon einer anderen Lehrkraft oder vom Programm, wenn es startet: Dann werden sie gesendet.
}
devices-not-here-title = Nicht auf diesem Telefon
devices-not-here = Dieses Telefon hilft an den Bahnen. Klassenliste, Größen und Plan sind auf dem Telefon der Lehrkraft.
devices-no-lanes-title = Noch keine Bahnen
devices-no-lanes = Die Bahnen kommen vom Telefon der Lehrkraft. Sie möge dort die App öffnen, während beide Telefone das Programm erreichen.
app-refused-other-role = Der Server hat einen Eintrag abgelehnt, weil dieses Telefon nur Läufe, Zeiten und Wenden aufnehmen darf. Er bleibt auf diesem Telefon. Die Lehrkraft bitten, ihn einzutragen.
app-refused-other-lane = Der Server hat einen Eintrag abgelehnt, weil dieses Telefon in dieser Bahn nicht aufnehmen darf. Er bleibt auf diesem Telefon. Die Lehrkraft bitten, ihn einzutragen, oder um einen Link für diese Bahn.
