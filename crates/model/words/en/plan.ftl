# What the plan, the floor and the stand-in test have to say.

## Does a stand-in fall easily
topple-falls-easily = It falls easily.
topple-too-firm = Do not use it: it does not give way easily enough.
topple-not-enough-known = Not enough is known yet.
topple-push-tips = A push of { $force } at the height of the foot tips it over.
topple-push-slides = A push of { $force } at the height of the foot slides it away.
topple-push-moves = It gives way at a push of { $force }.
topple-push-bar = The bar comes off at a push of { $force }.
topple-push-high = It takes a push of { $force } at the height of the foot; { $limit } is the most.
topple-bar-held = The lip holds the bar however hard the foot pushes. Rest the bar on flat tops or on the far edge.
topple-finger-easily = One finger at the top moves it easily.
topple-finger-hand = It takes a hand to move it; a foot that catches on it would stop.
topple-finger-hardly = It hardly moves; a foot that catches on it would stop.
topple-mass-low = { $mass } kg move, which is light enough.
topple-mass-high = { $mass } kg move; { $limit } kg is the most.
topple-hits-soft = The foot meets { $mass } kg, which is little enough.
topple-hits-hard = The foot meets { $mass } kg at once, so it hits hard; { $limit } kg is the most.
topple-slides = It may slide before it tips: see that it does not stay under the feet. A bar that drops off is better.
topple-blows-over = Outdoors the wind may blow it over.
topple-weigh = Weigh it: a heavy thing can tip at a small push and still hit hard.
topple-shape = Measure its height and depth: at this mass they decide how hard it hits.
topple-shape-usual = This holds for things that are no deeper than high and not heavy at the top.
topple-disagree = The figures say { $force }, which is far from what you tried. Check the mass and the measures, and whether the base is held.
topple-numbers = These numbers fit no stand-in. Check the units: kilograms and metres, or grams and newtons for the push.
topple-caution-try = Try it on your own floor before the children run: push it at the top from every side they may come from.
topple-caution-parts = Nothing with sharp or rigid parts, nothing filled with sand or water, nothing a foot can go through and be caught in. The bar rests and is never tied.
topple-caution-rules = The rules of your school and your sports body come first.

## How a stand-in gives way
topple-first-tips = tips first
topple-first-slides = slides first
topple-first-either = tips and slides at the same push
topple-first-bar-falls = the bar drops
topple-first-moves = gives way
