# Mit einem Passwort hereinkommen, und was die Einträge auf einem Gerät sichert. Deutsch.

## Problems
problem-password-in-clear-title = Ein hier gesendetes Passwort könnte unterwegs gelesen werden.
problem-password-in-clear-detail = Dieses Gerät spricht unverschlüsselt mit dem Programm. Das Passwort in einem Browser auf dem Rechner verwenden, auf dem das Programm läuft, oder das Programm mit Zertifikat starten; ein Link, der einmal gilt, kommt ohne aus.
problem-password-wrong-title = Damit ging es nicht.
problem-password-wrong-detail = Auf Großbuchstaben und Leerzeichen achten und noch einmal versuchen. Eine Lehrkraft, die drin ist, kann einen Link machen oder das Passwort neu setzen.
problem-password-wait-title = Es wurden zu viele Passwörter versucht.
problem-password-wait-detail = { $seconds ->
    [one] Das nächste wird in einer Sekunde angesehen. Ein Link, der einmal gilt, öffnet jederzeit.
   *[other] Das nächste wird in { $seconds } Sekunden angesehen. Ein Link, der einmal gilt, öffnet jederzeit.
}
problem-password-short-title = Dieses Passwort ist zu kurz.
problem-password-short-detail = Es braucht mindestens { $signs } Zeichen. Drei oder vier Wörter, die nichts miteinander zu tun haben, sind gut und leicht zu merken.
problem-password-long-title = Dieses Passwort ist zu lang.
problem-password-long-detail = Höchstens { $signs } Zeichen sind möglich.
problem-password-common-title = Dieses Passwort gehört zu denen, die jeder zuerst versucht.
problem-password-common-detail = Ein anderes nehmen. Drei oder vier Wörter, die nichts miteinander zu tun haben, sind gut und leicht zu merken.

## Coming in with a password
safe-password-enter-label = Oder: das Passwort der Schule, falls sie eins hat
safe-password-enter = Hereinkommen
safe-password-looking = Einen Moment …
safe-password-in = Sie sind drin. Was auf diesem Gerät liegt, wird gesendet.
safe-password-missing = Zuerst das Passwort eintippen.
safe-password-show = Zeigen
safe-password-hide = Verbergen
safe-password-no-answer = Das Programm antwortet nicht. Nichts wurde geändert: noch einmal versuchen, wenn es läuft.
safe-password-needs-tls = Mit einem Passwort kommt man nur herein, wo niemand mitlesen kann: unter einer Adresse, die mit https beginnt, oder auf dem Rechner des Programms.

## Setting a password
safe-password-title = Ein Passwort für die Schule
safe-password-none = Es gibt keins: Telefone kommen mit einem Link herein. Mit einem Passwort kommt eine Lehrkraft auf einem neuen Telefon herein, wenn niemand da ist, der einen Link macht.
safe-password-since = Gesetzt am { $day }. Wer es kennt, kommt als Lehrkraft herein, sieht und ändert alles.
safe-password-not-here = Es lässt sich nur setzen, wo niemand mitlesen kann: unter einer Adresse, die mit https beginnt, oder auf dem Rechner des Programms.
safe-password-set = Passwort setzen
safe-password-change = Ändern
safe-password-how = Mindestens { $signs } Zeichen; 15 oder mehr sind besser. Drei oder vier Wörter, die nichts miteinander zu tun haben, merken sich leicht. Leerzeichen zählen. Dort aufschreiben, wo die Schlüssel liegen.
safe-password-new = Neues Passwort
safe-password-others = Alle anderen Telefone abmelden und wartende Links zurücknehmen
safe-password-cancel = So lassen
safe-password-away = Wegnehmen
safe-password-away-what = Dann kommt niemand mehr mit einem Passwort herein. Telefone, die drin sind, bleiben drin.
safe-password-keep = Behalten
safe-password-said-set = Das Passwort ist gesetzt.
safe-password-said-away = Das Passwort ist weg.

## What keeps the records safe
safe-not-saved-no-room = NICHT gespeichert: Auf diesem Gerät ist kein Platz mehr. Was vorher gespeichert war, bleibt. Etwas Platz schaffen und noch einmal versuchen.
safe-no-room = Auf diesem Gerät ist kein Platz mehr, darum wird nichts Neues gespeichert. Was vorher gespeichert war, ist sicher. Wer mag, speichert woanders eine Kopie; Bilder oder Filme von diesem Gerät löschen und weitermachen: Diese Zeile geht weg, sobald wieder Platz ist.
safe-not-kept-not-secure = Diese Adresse hat kein Zertifikat, darum öffnet sich die App auf diesem Gerät nur, solange das Programm antwortet. Was Sie aufnehmen, bleibt trotzdem auf diesem Gerät. Unter einer Adresse, die mit https beginnt, öffnet sie sich auch ohne Netz.
safe-not-kept-not-here = Dieser Browser behält die App nicht für die Arbeit ohne Netz, vielleicht weil dies ein privates Fenster ist. Was Sie aufnehmen, bleibt, solange das Fenster offen ist. Ein gewöhnliches Fenster eines aktuellen Browsers verwenden.
safe-not-kept-failed = Die App ließ sich auf diesem Gerät nicht für die Arbeit ohne Netz behalten; vielleicht ist zu wenig Platz. Aufnehmen geht, und das Aufgenommene bleibt. Bevor es dorthin geht, wo kein Netz ist: etwas Platz schaffen und hier noch einmal versuchen.
safe-not-kept-again = Noch einmal versuchen
safe-not-kept-understood = Verstanden

## How long things are kept
safe-keep-title = Wie lange etwas bleibt
safe-keep-lead = Was alt ist, hilft niemandem, und was nicht da ist, kann nicht verloren gehen. Nichts geht, bevor Sie hier gesehen haben, was geht.
safe-keep-seen = Gesehenes: Läufe, Zeiten, Größen, wer da war
safe-keep-off = Kinder, die von ihrer Liste genommen wurden oder deren Klasse weggenommen wurde
safe-keep-always = Bis es jemand löscht
safe-keep-years = { $count ->
    [one] Ein Jahr
   *[other] { $count } Jahre
}
safe-keep-days = { $count ->
    [one] Ein Tag
   *[other] { $count } Tage
}
safe-keep-stays = Kinder auf einer Liste, Klassen, Material und Fläche bleiben auf jeden Fall. Gespeicherte oder gedruckte Kopien bleiben, und Sicherungen, bis sie ablaufen.
safe-keep-goes-now = Nach dieser Regel ist dies zu alt und geht für immer:
safe-keep-nothing-now = Nach dieser Regel geht jetzt nichts von dem, was hier ist.
safe-keep-next = Das Nächste geht am { $day }, und danach Tag für Tag.
safe-keep-when = Es geht, wenn das Programm das nächste Mal startet, oder binnen eines Tages, während es läuft, und von jedem Gerät beim nächsten Kontakt mit dem Programm. Bis dahin lässt sich die Regel zurücknehmen.
safe-keep-save-goes = Nach dieser Regel gehen lassen
safe-keep-said = Die Regel, wie lange etwas bleibt, ist gespeichert.
safe-keep-off-title = Auf keiner Liste mehr
safe-keep-off-why = Sie wurden von einer Liste genommen, oder ihre Klasse wurde es. Sie sind verborgen und noch hier, mit allem, was von ihnen gesehen wurde.
safe-keep-off-since = { $name }, seit { $day }
safe-keep-off-erase = Alle diese löschen
