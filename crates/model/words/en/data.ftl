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
data-save-copy-class = Save a copy
data-said-copy = { $count ->
    [one] One entry is in the file that was handed to you. It holds names: keep it safe.
   *[other] { $count } entries are in the file that was handed to you. It holds names: keep it safe.
}

# What stands in files for research

data-research-k = Every combination of sex, age band and stature band in children.csv occurs at least { $count } times (k-anonymity, Sweeney 2002).
data-research-names = Names, ids, classes, lanes and set-ups are left out. Codes of children were drawn by lot for this export and are kept nowhere.
data-research-bands = Ages are given in bands of 2 years, statures in bands of 10 cm. Dates of birth, leg lengths, steps and earlier sizes are left out.
data-research-days = Dates and times of day are left out. Days are counted from a day that is not told; runs of one child on one day stand in their order.
data-research-gaps = Gaps are rounded to 0.1 m, as they were chosen for the child's size.
data-research-no-stature = { $count ->
    [one] Of one child the stature is left out.
   *[other] Of { $count } children the stature is left out.
}
data-research-no-age = { $count ->
    [one] Of one child stature and age are left out.
   *[other] Of { $count } children stature and age are left out.
}
data-research-no-sex = { $count ->
    [one] Of one child stature, age and sex are left out.
   *[other] Of { $count } children stature, age and sex are left out.
}
data-research-left-out = { $count ->
    [one] One child is left out with all that was seen of it.
   *[other] { $count } children are left out with all that was seen of them.
}
data-research-others = Presence, wishes, line-ups, plans, kit and floor are left out.
data-research-still = Who was there can still recognise a child by what it did. Give these files only to people who have agreed not to try, and ask your school's data protection officer first.
