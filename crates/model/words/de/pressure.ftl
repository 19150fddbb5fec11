# Technik unter Druck: Endsprint und steigendes Tempo.

pressure-sprint-holds = Hält mit Endsprint.
pressure-sprint-breaks = Hält mit Endsprint nicht: Etwa { $lost } weniger Hürden bleiben stehen.
pressure-sprint-open = Mit Endsprint: zu wenig gesehen.
pressure-steps-break = Mit Endsprint werden die Schritte ungleichmäßig.
pressure-clean-up-to = Sauber genug bis { $effort } vom Höchsttempo.
pressure-try-next = Als Nächstes { $effort } probieren.
pressure-clean-nowhere = Bei keinem gesehenen Tempo sauber genug: erst langsamer.
pressure-effort-open = Bei steigendem Tempo: zu wenig gesehen.
