# Erasing and exporting, on the screens and in the program.

data-erase-child = Erase this child
data-erase-child-hint = Taking off the list hides a child and can be undone. Erasing cannot: the child and all that was seen of it go from this device at once, from the server and from every other device when they next meet.
data-erase-class = Erase this class
data-erase-class-hint = Taking off hides the class and can be undone. Erasing cannot: the class, its children and all that was seen of them go from this device at once, from the server and from every other device when they next meet.
data-erase-goes = This goes, for good:
data-goes-labels = { $count ->
    [one] one child with its name
   *[other] { $count } children with their names
}
data-goes-about = { $count ->
    [one] one entry on age, sex or size
   *[other] { $count } entries on age, sex or size
}
data-goes-runs = { $count ->
    [one] one run, sweep or bout
   *[other] { $count } runs, sweeps and bouts
}
data-goes-times = { $count ->
    [one] one press of the watch
   *[other] { $count } presses of the watch
}
data-goes-others = { $count ->
    [one] one other entry
   *[other] { $count } other entries
}
data-erase-stays = What stays: copies you saved or printed, and backups until they run out.
data-erase-type = To erase, type { $name }
data-erase-not-name = That is not the name. Nothing was erased.
data-erase-do = Erase for good
data-erase-keep = Keep
data-said-erased = { $count ->
    [one] One entry was erased.
   *[other] { $count } entries were erased.
}
data-save-copy-class = Save a copy of everything
