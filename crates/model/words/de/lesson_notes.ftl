# Hinweise zur Stunde: Ablauf, Bodenkontakte, Wetter.

## Flow
flow-moving-half = Die Kinder bewegen sich { $share } der Zeit; Gesundheitsbehörden verlangen mindestens { $asked }.
flow-moving-less = Die Kinder bewegen sich nur { $share } der Zeit; Gesundheitsbehörden verlangen mindestens { $asked }.
flow-setters-missing = { $starts ->
        [one] Bei einem Start
       *[other] Bei { $starts } Starts
    } wartet niemand lange genug, um Hürden aufzustellen: Eine erwachsene Person springt ein, oder das nächste Kind wartet, bis alle stehen.
flow-help-one-more-lane = Eine Bahn mehr legen und Bahn { $lanes } auf zwei verteilen. { $effect }
flow-help-one-hurdle-fewer = In { $count ->
        [one] Bahn { $lanes }
       *[other] den Bahnen { $lanes } je
    } eine Hürde weniger stellen. { $effect }
flow-help-two-queues = Bei { $count ->
        [one] Bahn
       *[other] den Bahnen
    } { $lanes } zwei Reihen bilden und abwechselnd starten, damit das nächste Kind bereitsteht. { $effect }
flow-help-follow-starts = Bei { $count ->
        [one] Bahn
       *[other] den Bahnen
    } { $lanes } das nächste Kind starten, wenn das vorige zwei Drittel der Hürden hinter sich hat; mit Aufstelldienst auf beiden Seiten und wo Ihre Schule es erlaubt. { $effect }
flow-help-jog-back = Bei { $count ->
        [one] Bahn
       *[other] den Bahnen
    } { $lanes } zurücktraben statt gehen. { $effect }
flow-help-second-setter = Bei { $count ->
        [one] Bahn
       *[other] den Bahnen
    } { $lanes } ein zweites Kind aufstellen lassen. { $effect }
flow-effect = Bewegungszeit in den Blöcken { $before } → { $after }, { $runs }.
flow-effect-runs = Läufe je Kind in zehn Minuten { $before } → { $after }
flow-effect-runs-alike = die Zahl der Läufe ändert sich kaum

## Contacts
contacts-many-jumps-new = { $child } hat heute { $count } Sprünge gemacht; Übersichten zum Sprungtraining mit Kindern beginnen mit 50 bis { $limit } je Einheit (Michailidis 2014): auf die Landungen sehen, die nächste Stunde ruhiger.
contacts-many-jumps = { $child } hat heute { $count } Sprünge gemacht; Übersichten zum Sprungtraining mit Kindern enden bei 80 bis 120 je Einheit (Michailidis 2014, Bedoya 2015): auf die Landungen sehen, die nächste Stunde ruhiger.
contacts-many-turns = { $child } hat heute { $count } scharfe Stopps und Wenden gemacht; mehr als { $limit } ist unsere eigene Marke ohne Studie: sehen, ob das Bremsbein noch hält.
contacts-days-in-a-row = { $child } hat an { $count } Tagen hintereinander Sprünge oder Wenden; in den Übersichten liegen Tage dazwischen (Bedoya 2015): Heute passen Lauf- und Gehübungen.
contacts-days-a-week = { $child } hat diese Woche an { $count } Tagen Sprünge oder Wenden; in den Übersichten sind es zwei (Michailidis 2014): Heute passen Lauf- und Gehübungen.
contacts-growing-fast = { $child } wächst schnell: weniger Wenden und Sprünge, eine niedrigere Hürde oder Übergehen, und Schluss, wenn Ferse oder Knie wehtut.
contacts-growing-fast-probably = { $child } wächst wahrscheinlich schnell: weniger Wenden und Sprünge, eine niedrigere Hürde oder Übergehen, und Schluss, wenn Ferse oder Knie wehtut.

## Heat
weather-index-below = Hitzeindex { $celsius } °C ({ $fahrenheit } °F), im Schatten.
weather-index-caution = Hitzeindex { $celsius } °C ({ $fahrenheit } °F), im Schatten: Vorsicht, nach den Stufen des US-Wetterdienstes.
weather-index-extreme-caution = Hitzeindex { $celsius } °C ({ $fahrenheit } °F), im Schatten: große Vorsicht, nach den Stufen des US-Wetterdienstes.
weather-index-danger = Hitzeindex { $celsius } °C ({ $fahrenheit } °F), im Schatten: Gefahr, nach den Stufen des US-Wetterdienstes.
weather-index-extreme-danger = Hitzeindex { $celsius } °C ({ $fahrenheit } °F), im Schatten: große Gefahr, nach den Stufen des US-Wetterdienstes.
weather-cool = Eine WBGT von { $wbgt } ist keine Hitze. Über Kälte, Eis und Wind steht hier nichts: Es gilt, was Ihre Schule dazu sagt.
weather-heat-as-planned = Bei einer WBGT von { $wbgt } läuft die Stunde wie geplant ({ $guidance }). Auf Kinder achten, die blass sind oder denen schwindlig oder übel ist.
weather-heat-more-rest = Bei einer WBGT von { $wbgt } länger Pause machen, im Schatten, und alle 15 Minuten trinken ({ $guidance }).
weather-heat-limit = Bei einer WBGT von { $wbgt } nur wenig schnell laufen; Kinder, die Hitze nicht gewohnt oder gefährdet sind, laufen nicht ({ $guidance }).
weather-heat-cancel = Bei einer WBGT von { $wbgt } nicht laufen ({ $guidance }).
weather-heat-another-time = Ein Plan mit Läufen ist für eine kühlere Stunde oder für eine kühle Halle.
weather-wbgt-value = { $wbgt } °C
weather-wbgt-at-most = bis zu { $wbgt } °C
weather-wbgt-estimated = Das ist aus Lufttemperatur und Luftfeuchte geschätzt, für mäßige Sonne und leichten Wind: { $wbgt } °C, { $low } bis { $high }. Volle Sonne oder stehende Luft ist heißer. Das obere Ende zählt; besser ist ein Messgerät am Platz.
weather-guidance-disagrees = Veröffentlichte Tabellen sagen hier Verschiedenes. Kinderärzte: { $pediatrics }; Sportmedizin, hitzeungewohnt: { $sports-new }; hitzegewohnt: { $sports-used }. Die Regel Ihrer Schule geht vor.
weather-guidance-pediatrics = ältere Tabelle eines Ausschusses der American Academy of Pediatrics
weather-guidance-sports-new = American College of Sports Medicine 2007, hitzeungewohnt
weather-guidance-sports-used = American College of Sports Medicine 2007, hitzegewohnt
weather-guidance-school = eigene Grenzen Ihrer Schule
weather-step-as-planned = wie geplant
weather-step-more-rest = mehr Pause
weather-step-limit = wenig schnell laufen
weather-step-cancel = nicht laufen

## Lightning
weather-lightning-open = Kein Donner in der letzten halben Stunde. Bei jedem Donner: alle hinein.
weather-lightning-inside = Alle hinein. Noch { $minutes ->
        [one] eine Minute
       *[other] { $minutes } Minuten
    }, und nach jedem neuen Donner wieder eine halbe Stunde.

## Before the first run
weather-check-floor = Die Bahnen abgehen: eben, trocken, sauber, keine Löcher, nichts liegt herum.
weather-check-slippery = Nasser Rasen oder Staub: gehen oder eine andere Fläche suchen; aufhören, wenn jemand rutscht.
weather-check-hard = Asphalt oder Beton: nur übergehen, nichts Schnelles.
weather-check-grass = Den Rasen mit der Hand prüfen: Ist er nass, gehen oder hinein.
weather-check-walls = Kein Ziel an Wand, Bühne oder Netz; der Auslauf ist frei von Taschen und wartenden Kindern.
weather-check-shoes = Laufschuhe, Schnürsenkel zu, Schmuck ab; keine Sandalen, keine Spikes, niemand in Socken.
weather-check-outdoors = Auf Himmel und Hitze achten; Getränke und Schatten sind in der Nähe.
weather-check-first-aid = Verbandskasten, Telefon und Asthmasprays sind da; nach einem Schlag auf den Kopf ist für ein Kind Schluss, und es gilt die Regel Ihrer Schule zur Gehirnerschütterung.
weather-check-rules = Die Regeln von Schule, Behörde und Verband gehen vor.

## Rest between bouts
weather-rest-all-out = Nach { $bout } s mit voller Kraft { $low } bis { $high } s Pause. Die Tabelle gilt für Erwachsene; Kinder erholen sich schneller.
weather-rest-game = Nach { $bout } s Spiel { $low } bis { $high } s Pause.
