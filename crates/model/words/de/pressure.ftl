# Technik unter Druck: Endsprint und steigendes Tempo.

pressure-sprint-holds = Hält mit Endsprint.
pressure-sprint-breaks = Hält mit Endsprint nicht: Etwa { $lost } weniger Hürden bleiben stehen.
pressure-sprint-open = Mit Endsprint: zu wenig gesehen.
pressure-steps-break = Mit Endsprint werden die Schritte ungleichmäßig.
pressure-clean-up-to = Bis { $effort } vom Höchsttempo bleiben genug Hürden stehen.
pressure-try-next = Als Nächstes { $effort } probieren.
pressure-clean-nowhere = Bei keinem gesehenen Tempo bleiben genug Hürden stehen: erst langsamer.
pressure-effort-open = Bei steigendem Tempo: zu wenig gesehen.
