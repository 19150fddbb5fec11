# Die Stunde: Blöcke, warum es sie gibt, was zu sagen und zu tun ist.

## Parts without hurdles
lesson-part-register = Anwesenheit
lesson-part-set-up = Aufbau
lesson-part-talk = Gespräch
lesson-part-demonstration = Vormachen
lesson-part-free-runs = Zwei freie Läufe ohne Hürden
lesson-part-cool-down = Ausklang
lesson-part-kit-away = Abbau

## What it is for
lesson-use-warm-up = Aufwärmen
lesson-use-station = Station
lesson-use-lesson = Stunde

## Why a block is there
lesson-why-working =
    { $children ->
        [one] Ein Kind arbeitet an dieser Übung
       *[other] { $children } Kinder arbeiten an dieser Übung
    } ({ $drill }): Etwa { $rate } der Hürden bleiben wohl stehen.
lesson-why-keeping =
    { $children ->
        [one] Bei einem Kind sitzt das schon und bleibt in Übung: { $drill }.
       *[other] Bei { $children } Kindern sitzt das schon und bleibt in Übung: { $drill }.
    }
lesson-why-unseen =
    { $children ->
        [one] Ein Kind wurde hier noch nicht gesehen ({ $drill }); nach seinen anderen Übungen sollte es sitzen.
       *[other] { $children } Kinder wurden hier noch nicht gesehen ({ $drill }); nach ihren anderen Übungen sollte es sitzen.
    }
lesson-why-opens =
    { $children ->
        [one] Ein Kind kommt damit weiter: { $drill } → { $later }.
       *[other] { $children } Kinder kommen damit weiter: { $drill } → { $later }.
    }
lesson-why-change =
    { $minutes ->
        [0] Vorher werden Bahnen umgebaut.
        [one] Vorher werden Bahnen umgebaut: eine Minute.
       *[other] Vorher werden Bahnen umgebaut: { $minutes } Minuten.
    }
lesson-why-no-change = Vorher ist nichts umzubauen.
lesson-why-share = Ohne diesen Block brächte die Stunde etwa { $share } weniger.

## What to show and say
lesson-show = { $drill }: { $how }
lesson-talk-cue = { $drill }: „{ $cue }“
lesson-talk-fallen = Eine gekippte Hürde ist kein Fehler. Weiterlaufen; der Aufstelldienst stellt sie auf.
lesson-talk-start = Start, wenn die Bahn frei ist und jede Hürde steht.
lesson-talk-back = Neben der Bahn zurückgehen, nie durch sie hindurch.

## Jobs
lesson-job-setter = { $name } stellt in Bahn { $lane } Hürden auf.
lesson-job-counter = { $name } zählt in Bahn { $lane } auf Papier, was kippt.
lesson-job-caller = { $name } gibt in Bahn { $lane } die Starts frei.

## A station's card
lesson-card-drill = { $minutes } min { $drill }. { $how } „{ $cue }“
lesson-card-start = Starte, wenn die Bahn frei ist und jede Hürde steht. Immer nur ein Kind in der Bahn.
lesson-card-setter = Nach deinem Lauf wartest du neben der Bahn und stellst gekippte Hürden auf. Dann stellst du dich wieder an.
lesson-card-count = Wer als Nächstes dran ist, zählt, wie viele noch stehen.
lesson-card-stop = Tut etwas weh oder ist etwas kaputt? Hör auf und sag es der Lehrkraft.

## What it rests on
lesson-note-best = Kein anderer Plan mit diesen Übungen, Minuten und Bahnen bringt nach dieser Regel mehr: Die Suche ist abgeschlossen.
lesson-note-gap = Ein anderer Plan bringt nach dieser Regel vielleicht bis zu { $share } mehr; dort endete die Suche.
lesson-note-new-class = Von dieser Klasse wurde noch nichts gesehen: Der Plan folgt dem Üblichen, langsame Übungen zuerst.
lesson-note-pace =
    { $lanes ->
        [one] Bahn { $letters } startet alle { $low } bis { $high } s einen Lauf (aus { $starts } Starts der letzten Stunde). Damit sind die Läufe je Kind berechnet.
       *[other] Die Bahnen { $letters } starten alle { $low } bis { $high } s einen Lauf (aus { $starts } Starts der letzten Stunde). Damit sind die Läufe je Kind berechnet.
    }
lesson-note-left-out = Bleibt draußen: { $drill }. Ihre Bahnen passen nicht mit den anderen zusammen auf diese Fläche.
lesson-note-letters = Die Buchstaben der Bahnen folgen dem weiten Abstand. Die engen Abstände steigen nicht mit ihnen: { $gaps }.
lesson-note-lines =
    { $children ->
        [one] { $names } beginnt über Bodenlinien, bis es leicht fällt: Noch keine Übung hier ist leicht genug.
       *[other] { $names } beginnen über Bodenlinien, bis es leicht fällt: Noch keine Übung hier ist leicht genug.
    }
lesson-note-unused =
    { $minutes ->
        [one] Eine Minute bleibt übrig.
       *[other] { $minutes } Minuten bleiben übrig.
    }
lesson-note-rule = Annahme: Kinder lernen am meisten, wenn etwa 85 von 100 Hürden stehen bleiben. Die Regel stammt von anderen Lernenden (Wilson und andere 2019); dass sie beim Lauf über Hürden gilt, ist angenommen.

## When there is no plan
lesson-error-no-time = { $minutes } min weniger { $fixed } min für feste Teile lassen keinen Block übrig. Mehr Zeit nehmen oder einen festen Teil kürzen.
lesson-error-no-drill = Es bleibt keine Übung, die jemand in der Klasse schon machen darf. Mehr Übungen zulassen.
lesson-error-other = Diese Stunde lässt sich nicht planen: { $reason }.

## The lesson as text
lesson-text-head =
    { $use }, { $minutes } Minuten: { $children ->
        [one] ein Kind
       *[other] { $children } Kinder
    }, { $lanes ->
        [one] eine Bahn.
       *[other] { $lanes } Bahnen.
    }
lesson-text-moves = Jedes Kind läuft etwa { $runs }-mal und bewegt sich in { $blocks } der Blockzeit und in { $lesson } der ganzen Zeit.
lesson-text-block = Block { $number }
lesson-text-resetting = Bahnen umbauen
lesson-text-reset = Bahn { $lane } auf { $gap }: { $names }.
lesson-text-drill = { $drill }.
lesson-text-drill-lanes = { $drill } in { $lanes }.
lesson-text-lane =
    { $lane }  { $setting } { $gap }, je Kind etwa { $runs ->
        [one] ein Lauf
       *[other] { $runs } Läufe
    } und { $contacts } Bodenkontakte.
lesson-text-easier = { $names } solange: { $drill }.
lesson-text-lead = Schwungbein von Lauf zu Lauf wechseln.
lesson-text-side = Von Lauf zu Lauf die Seite wechseln, damit jedes Bein arbeitet.
lesson-text-watch = Beachten: { $look }
lesson-text-cue = „{ $cue }“
lesson-text-setters =
    { $more ->
        [0] Es stellen reihum auf: { $names }.
        [one] Es stellen reihum auf: { $names } und ein weiteres Kind.
       *[other] Es stellen reihum auf: { $names } und { $more } weitere.
    }
lesson-text-say = Zeigen und sagen
lesson-text-jobs = Aufgaben
lesson-text-card = Die Stationskarte
lesson-text-moving = Was sie mehr in Bewegung hält
lesson-text-cautions = Vorsicht
lesson-text-notes = Worauf das beruht
lesson-text-opens = Wann die nächste Übung dran ist, in vier von fünf Fällen
