# Was der Server sagt: beim Start und wenn er ablehnt. Deutsch.
# Jedes Problem hat einen Titel und eine Zeile dazu; sie sagt, was zu tun ist.

## Start
server-open = Diesen Link in einem Browser auf diesem Rechner öffnen:
server-open-network = Diesen Link in einem Browser auf Telefon, Tablet oder Rechner öffnen:
server-open-once = Er gilt einmal, höchstens 24 Stunden und nur bis zum nächsten Start. Andere Telefone lässt die App herein: antippen, wie sicher Ihre Daten sind, dann „Weiteres Telefon hereinlassen“.
server-data = Die Daten liegen in { $folder }.
server-stop = Beenden mit Strg-C. Was bestätigt ist, geht nicht verloren.
server-demo = Die Beispielklasse ist dabei. Alle ihre Kinder sind erfunden.
server-plain-network = Diese Adresse hat kein Zertifikat. Auf Telefon und Tablet geht die App deshalb nur auf, solange dieses Programm läuft und das Netz hält, Browser verweigern das Mikrofon, und andere im Netz könnten mitlesen.
server-plain-network-remedy = Für mehr als einen Versuch: ein Zertifikat für den Namen dieses Rechners besorgen und mit --tls-cert ZERTIFIKAT.pem --tls-key SCHLUESSEL.pem starten.
server-names = Browser dürfen auch den Namen { $names } verwenden.

## Problems
problem-stranger-host-title = Diese Adresse ist hier nicht bekannt.
problem-stranger-host-detail = Genau die Adresse verwenden, die das Programm beim Start gezeigt hat. Um einen anderen Namen für diesen Rechner zu erlauben, mit --host NAME starten.
problem-other-origin-title = Diese Anfrage kam von einer anderen Seite.
problem-other-origin-detail = Lanewright unter der Adresse öffnen, die das Programm gezeigt hat, und es dort noch einmal versuchen.
problem-forwarded-title = Diese Anfrage wurde weitergeleitet.
problem-forwarded-detail = Zwischen diesem Browser und Lanewright steht ein anderes Programm. Die gezeigte Adresse ohne Proxy öffnen.
problem-session-needed-title = Dieser Browser ist hier nicht angemeldet.
problem-session-needed-detail = Den Einmal-Link öffnen, den das Programm beim Start gezeigt oder eine Lehrkraft gemacht hat. Was auf diesem Gerät eingegeben wurde, bleibt bis dahin darauf.
problem-link-spent-title = Dieser Link gilt nicht mehr.
problem-link-spent-detail = Ein Link gilt einmal und nur für begrenzte Zeit. Eine Lehrkraft, die drin ist, um einen neuen bitten oder das Programm noch einmal starten.
problem-link-preview-title = Dieser Link wurde angesehen, bevor er geöffnet wurde.
problem-link-preview-detail = Er ist nicht verbraucht. Bitte in einem Browser öffnen.
problem-not-found-title = Hier ist nichts.
problem-not-found-detail = Die Startseite öffnen und von dort weitergehen.
problem-other-method-title = Diese Adresse nimmt eine solche Anfrage nicht an.
problem-other-method-detail = Die Seite neu laden, damit App und Server zusammenpassen.
problem-not-json-title = Das ist kein JSON.
problem-not-json-detail = Den Inhaltstyp application/json senden.
problem-too-large-title = Das ist zu viel auf einmal.
problem-too-large-detail = Weniger Einträge auf einmal senden: höchstens { $records } und { $megabytes } MB.
problem-not-records-title = Diese Einträge sind nicht lesbar.
problem-not-records-detail = Der Fehler steht in Zeile { $line }, Spalte { $column }. Nichts wurde gespeichert. Die Seite neu laden, damit App und Server zusammenpassen.
problem-not-a-cursor-title = Von dieser Stelle lässt sich nicht weiterlesen.
problem-not-a-cursor-detail = Mit ganzen Zahlen fragen: after ab 0 und limit ab 1.
problem-too-slow-title = Das hat zu lange gedauert.
problem-too-slow-detail = Noch einmal versuchen. Was vorher bestätigt wurde, ist sicher.
problem-app-missing-title = Die App ist nicht gebaut.
problem-app-missing-detail = Mit cargo xtask start bauen und starten.
problem-store-failed-title = Die Daten sind nicht erreichbar.
problem-store-failed-detail = Nichts wurde gespeichert. Nachsehen, was das Programm gemeldet hat und ob die Platte voll ist.
problem-to-start-page = Zur Startseite
