# Technique under pressure: exit sprint and rising effort.

pressure-sprint-holds = Holds with the exit sprint.
pressure-sprint-breaks = Breaks with the exit sprint: about { $lost } fewer hurdles stand.
pressure-sprint-open = With the exit sprint: not enough seen.
pressure-steps-break = With the exit sprint the steps get uneven.
pressure-clean-up-to = Enough hurdles stay up at up to { $effort } of top speed.
pressure-try-next = Try { $effort } next.
pressure-clean-nowhere = Too few hurdles stay up at any effort seen: slower first.
pressure-effort-open = At rising effort: not enough seen.
