# Nächste Schritte und ihre Gründe.

## Next steps
action-move-on = Weiter
action-repeat = Noch einmal
action-step-back = Eins zurück
action-not-enough-seen = Zu wenig gesehen

## What was seen
why-evidence-none-fell =
    { $runs ->
        [one] Alle { $hurdles } Hürden blieben in einem Lauf stehen.
       *[other] Alle { $hurdles } Hürden blieben in { $runs } Läufen stehen.
    }
why-evidence-single = Eine von { $hurdles } Hürden kippte in { $runs ->
        [one] einem Lauf
       *[other] { $runs } Läufen
    }. Einmal zählt nicht.
why-evidence-singles = { $knocked } von { $hurdles } Hürden kippten in { $runs ->
        [one] einem Lauf
       *[other] { $runs } Läufen
    }, nie zwei hintereinander.
why-evidence-one-row = { $knocked } von { $hurdles } Hürden kippten in { $runs ->
        [one] einem Lauf, alle
       *[other] { $runs } Läufen, alle in einem davon
    } hintereinander.
why-evidence-rows = { $knocked } von { $hurdles } Hürden kippten in { $runs ->
        [one] einem Lauf, mehrere
       *[other] { $runs } Läufen, in { $rows ->
            [one] einem davon
           *[other] { $rows } davon
        } mehrere
    } hintereinander.
why-evidence-sweeps = { $sweeps ->
        [one] Ein Blick über die ganze Bahn.
       *[other] { $sweeps } Blicke über die ganze Bahn.
    }

## Reasons
why-see-one-more-run = Erst einmal gesehen, das sagt wenig. Noch einen Lauf ansehen.
why-see-more-hurdles = Vor der Entscheidung noch { $hurdles ->
        [one] eine Hürde
       *[other] { $hurdles } Hürden
    } ansehen.
why-clean-enough = Mindestens { $needed } von 100 mit einer Wahrscheinlichkeit von { $p }.
why-repeat = Mindestens { $needed } von 100 nur mit einer Wahrscheinlichkeit von { $p }.
why-step-back = Höchstens { $rate } von 100 mit einer Wahrscheinlichkeit von { $p }: Für diese Übung kippt zu viel. Erst eine leichtere.
why-only-knocks-watched = Gesehen wurde nur, was kippt. Vor dem Weitergehen zwei Läufe lang auf die Technik achten.
why-watch-once-more = In einem Lauf war die Technik richtig. Noch einmal richtig sehen.
why-key-fault = Zuletzt gesehen: { $fault }. Das zuerst in Ordnung bringen.
why-next-run-better = Nach mehreren gekippten hintereinander war der nächste Lauf besser.
why-next-run-not-better = Nach mehreren gekippten hintereinander war der nächste Lauf nicht besser.
why-one-more-try = Im letzten Lauf kippten mehrere hintereinander. Erst noch ein Versuch.
why-holds-under-sprint = Auch mit Endsprint bleiben genug Hürden stehen.
why-breaks-under-sprint = Mit Endsprint bleiben weniger Hürden stehen als ohne, und zu wenige.
why-left-leg = Mit links kippt mehr: { $knocks } von { $crossings } gegen { $other_knocks } von { $other_crossings } (von mehreren hintereinander zählt nur die erste).
why-right-leg = Mit rechts kippt mehr: { $knocks } von { $crossings } gegen { $other_knocks } von { $other_crossings } (von mehreren hintereinander zählt nur die erste).
why-only-sweeps = Nur aus der Ferne gesehen. Ein genau beobachteter Lauf sagt mehr.
why-last-seen = Hier zuletzt gesehen am { $day }.
why-lane-hurdle = Erst nach Hürde { $hurdle } von Bahn { $lane } sehen: Sie kippt leichter als die anderen, bei diesem Kind { $knocks } von { $met } Mal.
why-lane-hurdle-setup = Bahn { $lane }, aufgebaut für { $setup }: Hürde { $hurdle } kippte leichter als die anderen, bei diesem Kind { $knocks } von { $met } Mal.
why-lane-without = Ohne { $hurdles ->
        [one] diese Hürde
       *[other] diese Hürden
    } wären es { $mean } von 100 ({ $low } bis { $high }), und { $then }.
why-lane-without-same = Ohne { $hurdles ->
        [one] diese Hürde
       *[other] diese Hürden
    } wären es { $mean } von 100 ({ $low } bis { $high }), und der nächste Schritt bliebe.
why-lane-then-move-on = das Kind käme weiter
why-lane-then-repeat = das Kind liefe noch einmal
why-lane-then-watch = das reicht für „Weiter“, sobald die Technik in zwei angesehenen Läufen stimmt
why-lane-then-step-back = das Kind ginge eins zurück
why-lane-then-not-enough = zu wenig wäre gesehen

## Faults
fault-toes-hang = Fuß hängt
fault-toes-hang-look = Die Fußspitze zeigt über der Hürde nach unten.
fault-toes-hang-cause = Das Fußgelenk ist locker, oder das Kind will springen.
fault-toes-hang-cue = Fußspitze hoch.
fault-heel-low = Ferse bleibt tief
fault-heel-low-look = Die Ferse kommt nicht unter die Hüfte; das Bein schwingt lang durch.
fault-heel-low-cause = Das Bein wird nur von vorn gehoben, oder der Abstand lässt keine Zeit.
fault-heel-low-cue = Ferse zum Po, dann drüber.
fault-knee-low = Knie bleibt tief
fault-knee-low-look = Das Knie kommt vorn nicht hoch; der Fuß streift drüber.
fault-knee-low-cause = Der Schritt ist müde oder zu kurz, oder die Hürde ist hoch für das Bein.
fault-knee-low-cue = Wie über eine Pfütze steigen.
fault-goes-round = Fuß geht außen herum
fault-goes-round-look = Von vorn: Der Fuß schwingt nach außen um die Hürde herum.
fault-goes-round-cause = Die Hüfte öffnet, um Höhe zu sparen; die Hürde ist hoch für das Bein, oder das Kind scheut sie.
fault-goes-round-cue = Drüber, nicht außen herum.
fault-out-of-line = Nicht in einer Linie
fault-out-of-line-look = Von vorn: Hüfte, Knie und Fuß stehen nicht übereinander.
fault-out-of-line-cause = Die Hüfte sinkt ab, oder das Knie fällt nach innen, meist bei Müdigkeit oder Eile.
fault-out-of-line-cue = Hüfte, Knie, Fuß: eine Linie.
fault-support-ahead = Stützfuß zu weit vorn
fault-support-ahead-look = Von der Seite: Der Stützfuß setzt weiter vorn auf als die Hürde.
fault-support-ahead-cause = Der Abstand ist weit für dieses Tempo, oder das Kind greift nach vorn.
fault-support-ahead-cue = Fuß neben die Hürde.
fault-support-behind = Stützfuß zu weit hinten
fault-support-behind-look = Von der Seite: Der Stützfuß setzt weiter hinten auf als die Hürde.
fault-support-behind-cause = Der Abstand ist eng für dieses Tempo, oder das Kind wartet.
fault-support-behind-cue = Mit dem Fuß bis neben die Hürde.
fault-leans-back = Rücklage
fault-leans-back-look = Von der Seite: Die Schultern sind an der Hürde hinter der Hüfte.
fault-leans-back-cause = Der Abstand ist weit, der Fuß greift nach vorn, oder das Kind bremst vor der Hürde.
fault-leans-back-cue = Groß bleiben, Brust über die Hüfte.
fault-folds = Knickt in der Hüfte ein
fault-folds-look = Von der Seite: Die Brust fällt zum Knie.
fault-folds-cause = Der Blick ist auf der Hürde, oder das Kind beugt sich zum Knie hinunter.
fault-folds-cue = Blick ans Ende der Bahn.
fault-hips-turn = Hüfte dreht
fault-hips-turn-look = Vom Ende der Bahn: Die Hüfte dreht sich in die Laufrichtung.
fault-hips-turn-cause = Der hintere Fuß kommt spät, oder der Abstand ist weit für das Kind.
fault-hips-turn-cue = Gürtelschnalle nach vorn.
fault-hops = Hüpft oder trippelt
fault-hops-look = Die Schritte federn nach oben, oder vor der Hürde kommen kleine Zusatzschritte.
fault-hops-cause = Der Abstand ist eng für das Tempo, oder der Rhythmus fehlt noch.
fault-hops-cue = Schnell und flach: eins, zwei.
fault-reaches = Greift nach vorn
fault-reaches-look = Von der Seite: Der Fuß setzt weit vor der Hüfte auf.
fault-reaches-cause = Der Abstand ist weit für das Kind.
fault-reaches-cue = Fuß unter den Körper setzen.
fault-irregular = Unrhythmisch
fault-irregular-look = Hinhören: Die Bodenkontakte sind nicht gleichmäßig.
fault-irregular-cause = Der Abstand passt nicht zum Schritt, oder das Kind achtet auf einzelne Hürden.
fault-irregular-cue = Gleicher Takt bis zum Ende.
fault-heavy = Schwer
fault-heavy-look = Hinhören: Die Füße klatschen oder stampfen.
fault-heavy-cause = Der Fuß setzt flach und weit vorn auf, oder das Kind ist müde.
fault-heavy-cue = Leise Füße.
fault-arms = Arme tief oder quer
fault-arms-look = Von vorn: Die Hände hängen oder gehen über die Mitte.
fault-arms-cause = Die ganze Aufmerksamkeit ist bei den Beinen.
fault-arms-cue = Hände von der Hüfte zur Wange.
fault-slow-turn = Mehrere Schritte in der Wende
fault-slow-turn-look = Hinhören und hinsehen: mehr als ein Schritt für den Richtungswechsel.
fault-slow-turn-cause = Der Körper kommt zu spät über das äußere Bein, oder der Zuruf kam bei vollem Tempo.
fault-slow-turn-cue = Ein Schritt und zurück.
fault-heavy-stop = Harter Stopp
fault-heavy-stop-look = Hinhören: ein lauter, langer Kontakt vor der Wende oder am Ende, und ein Rutschen.
fault-heavy-stop-cause = Das ganze Tempo geht in ein Bein: Die Schritte davor bremsen nicht.
fault-heavy-stop-cue = Über drei Schritte langsamer werden, dann wenden.
fault-leg-gives = Bremsbein gibt nach
fault-leg-gives-look = Von vorn: Das Knie des Bremsbeins fällt nach innen oder beugt tief.
fault-leg-gives-cause = Zu schnell für die Kraft, oder müde. Sofort langsamer.
fault-leg-gives-cue = Knie über dem Fuß.
lane-try-shorter = Einen Abstand probieren, der eine Handbreit kürzer ist.
lane-try-longer = Einen Abstand probieren, der eine Handbreit weiter ist.
lane-try-lower = Eine niedrigere Hürde oder eine Bodenlinie probieren.
lane-try-none = Die Bahn so lassen.

## Lane or child
cause-hurdle = Bahn { $lane }, Hürde { $hurdle }: kippt leichter als die anderen, { $knocks } von { $met } Mal: etwa { $times }-mal so leicht. Den Abstand davor messen und prüfen, ob sie gerade steht.
cause-first-hurdle = Bahn { $lane }, Hürde 1: kippt leichter als die anderen, { $knocks } von { $met } Mal: etwa { $times }-mal so leicht. Den Anlauf messen und prüfen, ob sie gerade steht.
cause-lane-unnamed = ohne Namen
cause-setup = { $gap } Abstand, { $height } hoch
cause-setup-day = { $gap } Abstand, { $height } hoch, am { $day }
cause-hurdle-setup = Bahn { $lane }, aufgebaut für { $setup }, Hürde { $hurdle }: kippt leichter als die anderen, { $knocks } von { $met } Mal: etwa { $times }-mal so leicht. Den Abstand davor messen und prüfen, ob sie gerade steht.
cause-first-hurdle-setup = Bahn { $lane }, aufgebaut für { $setup }, Hürde 1: kippt leichter als die anderen, { $knocks } von { $met } Mal: etwa { $times }-mal so leicht. Den Anlauf messen und prüfen, ob sie gerade steht.
cause-more-hurdles = { $hurdles ->
        [one] Eine weitere Hürde kippt vielleicht leichter als die anderen.
       *[other] { $hurdles } weitere Hürden kippen vielleicht leichter als die anderen.
    }
cause-lane-setup = Bahn { $lane }, aufgebaut für { $setup }: Hier kippt mehr, als an den Kindern liegt. Abstände messen, eine Handbreit kürzer oder weiter probieren.
cause-lane = Bahn { $lane }: Hier kippt mehr, als an den Kindern liegt. Abstände messen, eine Handbreit kürzer oder weiter probieren.
cause-swap = Noch ist nicht zu trennen, was an den Bahnen und was an den Kindern liegt. { $children } Kinder zwei Läufe lang mit einer anderen Bahn tauschen lassen.
cause-nothing = Keine Hürde und keine Bahn fällt auf.

## Whom to watch
watch-never-seen = Noch nicht gesehen.
watch-not-today = Heute noch nicht gesehen.
watch-long-unseen = Seit { $minutes ->
        [one] einer Minute
       *[other] { $minutes } Minuten
    } nicht gesehen.
watch-seen-little = Erst einmal gesehen.
watch-could-change = Ein Lauf mehr könnte den nächsten Schritt ändern.
watch-clear = Der nächste Schritt ist schon klar.

## The sentence after a run
after-clean-first = Alle stehen. Noch einen Lauf ansehen.
after-clean = Alle stehen. Noch einmal so.
after-moves-on = Alle stehen, und alle Läufe zusammen reichen: weiter zur nächsten Übung.
after-single = Nur eine gekippt: halb so wild.
after-scattered = Hier und da eine gekippt, aber nie mehrere hintereinander. Noch einmal, etwas langsamer.
after-broke-start = Am Anfang kippten mehrere hintereinander. Erst noch ein Versuch: { $cue }
after-broke-middle = In der Mitte kippten mehrere hintereinander. Erst noch ein Versuch: { $cue }
after-broke-end = Gegen Ende kippten mehrere hintereinander. Erst noch ein Versuch: { $cue }
after-broke-again = Wieder mehrere hintereinander. Langsamer laufen oder sehen, ob der Abstand zum Kind passt.
after-better = Besser als der Lauf davor. Noch einmal.
after-better-clean = Diesmal stehen alle: besser als der Lauf davor.
after-steps-back = Bei dieser Übung kippt zu viel. Erst eine leichtere.
after-fault = { $fault }: { $cue }
