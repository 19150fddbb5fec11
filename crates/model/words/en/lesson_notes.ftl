# Notes on a lesson: how it flows, contacts, weather.

## Flow
flow-moving-half = Children move { $share } of the time; public health agencies ask for at least { $asked }.
flow-moving-less = Children move { $share } of the time only; public health agencies ask for at least { $asked }.
flow-setters-missing = { $starts ->
        [one] At one start
       *[other] At { $starts } starts
    } nobody waits long enough to stand hurdles up: an adult stands in, or let the next child wait until all stand.
flow-help-one-more-lane = Lay one more lane and split lane { $lanes } over two. { $effect }
flow-help-one-hurdle-fewer = Take one hurdle out of { $count ->
        [one] lane
       *[other] each of the lanes
    } { $lanes }. { $effect }
flow-help-two-queues = Make two queues at { $count ->
        [one] lane
       *[other] lanes
    } { $lanes } and start from them in turn, so that the next child stands ready. { $effect }
flow-help-follow-starts = Start the next child at { $count ->
        [one] lane
       *[other] lanes
    } { $lanes } when the one before has passed two thirds of the hurdles, with a setter on each side and where your school allows it. { $effect }
flow-help-jog-back = Jog back at { $count ->
        [one] lane
       *[other] lanes
    } { $lanes } instead of walking. { $effect }
flow-help-second-setter = Put a second setter at { $count ->
        [one] lane
       *[other] lanes
    } { $lanes }. { $effect }
flow-effect = Moving time in the blocks { $before } → { $after }, { $runs }.
flow-effect-runs = runs of a child in ten minutes { $before } → { $after }
flow-effect-runs-alike = runs of a child hardly change

## Contacts
contacts-many-jumps-new = { $child } made { $count } jumps today, and reviews of youth jump training start with 50 to { $limit } a session (Michailidis 2014): look at the landings, and let the next lesson be quieter.
contacts-many-jumps = { $child } made { $count } jumps today, and reviews of youth jump training end with 80 to 120 a session (Michailidis 2014, Bedoya 2015): look at the landings, and let the next lesson be quieter.
contacts-many-turns = { $child } made { $count } hard stops and turns today; more than { $limit } is our own mark with no study behind it: see whether the braking leg still holds.
contacts-days-in-a-row = { $child } has jumps or turns on { $count } days in a row, and youth training in the reviews leaves days between (Bedoya 2015): running and walking drills suit today.
contacts-days-a-week = { $child } has jumps or turns on { $count } days this week, and youth training in the reviews has two (Michailidis 2014): running and walking drills suit today.
contacts-growing-fast = { $child } is growing fast: fewer turns and jumps, a lower hurdle or walking over, and a stop when heel or knee hurts.
contacts-growing-fast-probably = { $child } is probably growing fast: fewer turns and jumps, a lower hurdle or walking over, and a stop when heel or knee hurts.

## Heat
weather-index-below = Heat index { $celsius } °C ({ $fahrenheit } °F), in the shade.
weather-index-caution = Heat index { $celsius } °C ({ $fahrenheit } °F), in the shade: caution, by the bands of the US National Weather Service.
weather-index-extreme-caution = Heat index { $celsius } °C ({ $fahrenheit } °F), in the shade: extreme caution, by the bands of the US National Weather Service.
weather-index-danger = Heat index { $celsius } °C ({ $fahrenheit } °F), in the shade: danger, by the bands of the US National Weather Service.
weather-index-extreme-danger = Heat index { $celsius } °C ({ $fahrenheit } °F), in the shade: extreme danger, by the bands of the US National Weather Service.
weather-cool = A WBGT of { $wbgt } is no heat. Nothing here is about cold, ice and wind: see what your school says of them.
weather-heat-as-planned = At a WBGT of { $wbgt } the lesson goes as planned ({ $guidance }). Watch for children who are pale, dizzy or sick.
weather-heat-more-rest = At a WBGT of { $wbgt } rest longer, in the shade, and drink every 15 minutes ({ $guidance }).
weather-heat-limit = At a WBGT of { $wbgt } limit hard running, and let children who are not used to heat or at risk not run ({ $guidance }).
weather-heat-cancel = At a WBGT of { $wbgt } do not run ({ $guidance }).
weather-heat-another-time = A plan with running is for a cooler hour, or for a cool hall.
weather-wbgt-value = { $wbgt } °C
weather-wbgt-at-most = up to { $wbgt } °C
weather-wbgt-estimated = This is an estimate from air temperature and humidity for moderate sun and a light wind: { $wbgt } °C, { $low } to { $high }. Full sun or still air is hotter. The upper end counts; a meter on the field is better.
weather-guidance-disagrees = Published tables differ here. Pediatrics committee: { $pediatrics }; sports medicine, not used to heat: { $sports-new }; used to heat: { $sports-used }. The rule of your school comes first.
weather-guidance-pediatrics = older table of a committee of the American Academy of Pediatrics
weather-guidance-sports-new = American College of Sports Medicine 2007, not used to heat
weather-guidance-sports-used = American College of Sports Medicine 2007, used to heat
weather-guidance-school = your school's own limits
weather-step-as-planned = as planned
weather-step-more-rest = more rest
weather-step-limit = limit hard running
weather-step-cancel = do not run

## Lightning
weather-lightning-open = No thunder in the last half hour. At any thunder: everybody inside.
weather-lightning-inside = Everybody inside. { $minutes ->
        [one] One minute
       *[other] { $minutes } minutes
    } more, and again half an hour from every new thunder.

## Before the first run
weather-check-floor = Walk the lanes: level, dry, clean, no holes, nothing lying about.
weather-check-slippery = Wet grass or dust: walk, or find another floor; stop when somebody slips.
weather-check-hard = Asphalt or concrete: walk over, nothing fast.
weather-check-grass = Feel the grass with your hand: when it is wet, walk or go inside.
weather-check-walls = No finish at a wall, a stage or a net; the stopping room is free of bags and of children who wait.
weather-check-shoes = Laced running shoes, laces tied, jewellery off; no sandals, no spikes, nobody in socks.
weather-check-outdoors = Look at the sky and at the heat; drinks and shade are at hand.
weather-check-first-aid = First-aid kit, telephone and inhalers are here; after a knock on the head a child is out, and your school's concussion rule counts.
weather-check-rules = The rules of your school, your authority and your sports body come first.

## Rest between bouts
weather-rest-all-out = After { $bout } s all-out rest { $low } to { $high } s. The table is for adults; children recover sooner.
weather-rest-game = After { $bout } s of a game rest { $low } to { $high } s.
