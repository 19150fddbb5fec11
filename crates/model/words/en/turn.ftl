# Sideways bouts with turns on call: calls, pairs, lanes, drop-off, clocks.

## Lanes for sideways shuttles
turn-one-child-a-lane = One child a place. All begin at the same end and turn on the same call, so nobody turns towards anybody.
turn-falls-one-way = From one side this hurdle does not fall: do not shuttle over it.
turn-try-both-ways = Try with one finger that the hurdles fall from both sides before anyone shuttles.
turn-gap-for-two-feet = Gap { $gap }: two feet must fit between two bases.
turn-does-not-fit = There is no room for three hurdles a place with free floor at both ends. Use a longer or wider floor, or more hurdles.
turn-take-turns = { $at_once } of { $children } shuttle at once; the others count, call and stand hurdles up.

## Drop-off
turn-drop-noise = { $decrement } below the best: timing alone makes up to { $noise }. Nothing can be said.
turn-drop-slower = { $decrement } below the best, and slower from one to the next.
turn-drop-uneven = { $decrement } below the best, but not slower from one to the next: uneven rather than tired.

## Two phones
turn-clock-error = The two clocks agree to { $seconds } s.
