# Ein Server hinter einem Proxy, und mehrere an einer Datenbank. Deutsch.

server-database = Die Daten liegen in der Datenbank, die in { $file } steht.
server-proxy = Beantwortet wird nur, was der Proxy unter { $proxy } weitergibt.
problem-not-through-proxy-title = Diese Anfrage kam nicht über den Proxy.
problem-not-through-proxy-detail = Die https://-Adresse des Proxys öffnen. Ist sie es schon, muss der Proxy Anfragen von der Adresse weitergeben, die --proxy nennt, mit der Kopfzeile X-Forwarded-Proto: https.
