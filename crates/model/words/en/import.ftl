# Reading a class list: what was understood, what is wrong, what has to be asked.
# `{ $remedy }`, `{ $unit }`, `{ $column }` and the like are other messages of this file.

## What was understood
import-understood-children =
    { $children ->
        [0] No child was found.
        [one] One child was found.
       *[other] { $children } children were found.
    }
import-understood-bad =
    { $bad ->
        [one] One cell is wrong, so nothing can be taken over yet.
       *[other] { $bad } cells are wrong, so nothing can be taken over yet.
    }
import-understood-bad-many = { $bad } cells are wrong, so nothing can be taken over yet. The first { $listed } are listed.
import-understood-questions =
    { $questions ->
        [one] One question is open, so nothing can be taken over yet.
       *[other] { $questions } questions are open, so nothing can be taken over yet.
    }
import-encoding-chosen = Letters are read as { $encoding }, as you chose.
import-encoding-mark = Letters are read as { $encoding }, as a mark at the start of the file says.
import-encoding-plain = There are only plain letters, which are the same in every encoding.
import-encoding-valid = Letters are read as { $encoding }, which fits all of them.
import-encoding-nearly = Letters are read as { $encoding }, which fits nearly all of them.
import-encoding-zero-bytes = Letters are read as { $encoding }, since every second byte of the file is empty.
import-encoding-guessed = Letters are read as { $encoding }. That is a guess from the special letters in the file.
import-delimiter-comma = a comma
import-delimiter-semicolon = a semicolon
import-delimiter-tab = a tab
import-delimiter-bar = a bar
import-delimiter-one-column = nothing, there is one column
import-delimiter-said-chosen = Between two columns stands { $delimiter }, as you chose.
import-delimiter-said-stated = Between two columns stands { $delimiter }, as the first line says.
import-delimiter-said-found = Between two columns stands { $delimiter }.
import-delimiter-said-one-column = There is one column.
import-decimal-point = Decimals have a point, as in 1.43.
import-decimal-comma = Decimals have a comma, as in 1,43.
import-decimal-mixed = Some decimals have a point and some a comma. Both are read as decimals.
import-decimal-chosen-point = Decimals have a point, as you chose.
import-decimal-chosen-comma = Decimals have a comma, as you chose.

## Columns
import-column-heading = “{ $heading }”
import-column-number = column { $number }
import-column = { $column }: { $meaning }. For example: { $sample }.
import-column-unit = { $column }: { $meaning } in { $unit }. For example: { $sample }.
import-column-unit-guessed = { $column }: { $meaning }, read in { $unit } because the numbers fit nothing else. For example: { $sample }.
import-column-empty = { $column }: { $meaning }. Nothing is filled in.
import-column-not-used = { $column }: not used. For example: { $sample }.
import-column-not-used-empty = { $column }: not used. Nothing is filled in.
import-column-not-read-in = { $column }: left out on purpose.
import-meaning-name = name
import-meaning-first-name = first name
import-meaning-surname = surname
import-meaning-id = code
import-meaning-sex = boy or girl
import-meaning-age = age
import-meaning-age-date = day of the age
import-meaning-birth-date = date of birth
import-meaning-stature = height
import-meaning-stature-date = day the height was measured
import-meaning-leg-length = leg length
import-meaning-step-length = step length
import-meaning-not-used = not used
import-meaning-not-read-in = left out on purpose
import-unit-none = no unit
import-unit-cm = centimetres
import-unit-m = metres
import-unit-mm = millimetres
import-unit-inches = inches
import-unit-feet = feet and inches
import-unit-feet-point-inches = feet and inches, so that 4.5 is 4 ft 5 in
import-unit-feet-decimal = feet with decimals, so that 4.5 is 4 ft 6 in
import-unit-years = years
import-unit-years-point-months = years and months, so that 11.10 is 11 years and 10 months
import-unit-years-decimal = years with decimals
import-unit-months = months

## Wrong cells: what is wrong and what to do
import-bad-cell = Line { $line }, { $column }: “{ $provided }”. { $remedy }
import-bad-empty-cell = Line { $line }, { $column }: { $remedy }
import-bad-number = This is not a number that can be read. Write it like 143 or 143.5, or leave the cell empty.
import-bad-length-form = This is not a length that can be read. Write it like 143, 1.43 m or 4 ft 8 in, or leave the cell empty.
import-bad-step-form = This is not a step length that can be read. Write it like 1.26 or 126 cm, or leave the cell empty.
import-bad-formula = The spreadsheet shows an error or a formula here. Put the value in, or leave the cell empty.
import-bad-feet = Feet and inches do not fit together: inches go from 0 to 11. Write it like 4 ft 8 in, or in centimetres.
import-bad-stature = A height lies between { $low } and { $high }. Correct it, or leave the cell empty.
import-bad-leg-length = A leg length lies between { $low } and { $high }. Correct it, or leave the cell empty.
import-bad-step-length = A running step lies between { $low } and { $high }. Correct it, or leave the cell empty.
import-bad-other-unit = The numbers of this column are read in { $unit }, and this one would fit in { $other }. Write it like the others, or put its unit behind it.
import-bad-age = An age lies between { $low } and { $high } years. Correct it, or leave the cell empty.
import-bad-age-form = This is not an age that can be read. Write it like 11, 11.5 or 11y 4m, or leave the cell empty.
import-bad-date-form = This is not a date that can be read. Write it like 2014-03-12, or leave the cell empty.
import-bad-date-none = There is no such day. Write the date like 2014-03-12, or leave the cell empty.
import-bad-date-order = Day and month stand the other way round here than elsewhere in the file. Write the date like 2014-03-12.
import-bad-date-range = A year from { $first } to { $last } was expected. Correct it, or leave the cell empty.
import-bad-date-ahead = This day is still to come. Correct it, or leave the cell empty.
import-bad-date-serial = This is a date as a spreadsheet counts its days. Format the column as a date there and save the file again.
import-bad-date-year = A year alone is too little for a date. Write the whole date, or give the age in a column of its own.
import-bad-before-birth = This day lies before the date of birth. Correct one of the two.
import-bad-sex = This was not understood. Write m or f, or leave the cell empty.
import-bad-name-missing = The name is missing. Write initials or a first name, or take the row out.
import-bad-name-long = A name has at most { $longest } letters. Shorten it.
import-bad-name-lines = There is a line break in the name. Take it out, and see whether a quotation mark is missing nearby.
import-bad-name-cells = This looks like a whole row in one cell. Put the same sign between the columns as in the other lines.
import-bad-control = There is an invisible sign in this cell. Type the text anew.
import-bad-letter = A letter could not be read. Choose another encoding, or type the text anew.
import-bad-id-twice = This code already stands in line { $first }. Every child needs its own.
import-bad-extra-cells = This row has more cells than the header. Most likely { $delimiter } stands inside a number or a name. Put quotation marks round that cell, or save the list with another sign between the columns.
import-bad-cell-long = There are more than { $longest } letters in this cell. Shorten it, or take the column out.

## Questions and answers
import-ask-decimal = What does { $number } mean?
import-answer-decimal = { $number }, with decimals
import-answer-thousands = { $number }, a whole number
import-ask-date-order = Which day is { $date }?
import-ask-date-both = Dates such as { $first } and { $second } have day and month in different orders. Which order is the right one?
import-answer-day-first = The day comes first.
import-answer-month-first = The month comes first.
import-answer-date = { $day } { $month } { $year }
import-ask-unit = In which unit is { $column } ({ $sample })?
import-ask-unit-heading = The heading { $column } does not fit the numbers ({ $sample }). In which unit are they?
import-ask-feet = What do the decimals in { $column } ({ $sample }) mean?
import-ask-age-unit = Are the ages in { $column } ({ $sample }) months or years?
import-ask-age-point = What do the decimals in { $column } ({ $sample }) mean?
import-ask-column = What is in { $column } ({ $sample })?
import-ask-which-column = More than one column could be the { $meaning }. Which one counts?
import-ask-names = Which column has the names?
import-answer-column = { $column } ({ $sample })
import-ask-sex-letter = Whom does the letter { $letter } stand for?
import-answer-girls = Girls
import-answer-boys = Boys
import-ask-title = Is “{ $text }” a child or a title?
import-answer-title = A title
import-answer-child = A child
import-month-1 = January
import-month-2 = February
import-month-3 = March
import-month-4 = April
import-month-5 = May
import-month-6 = June
import-month-7 = July
import-month-8 = August
import-month-9 = September
import-month-10 = October
import-month-11 = November
import-month-12 = December

## What the coach should know
import-no-header = The list has no headings.
import-names-taken = The names are taken from { $column }.
import-names-from-ids = There is no column of names, so the codes are the names.
import-list-marks = The numbers or marks in front of the names were taken off, as in: { $sample }
import-titles-left-out =
    { $lines ->
        [one] Line { $first } above the table was left out: { $text }
       *[other] Lines { $first } to { $last } above the table were left out. They start with: { $text }
    }
import-header-repeated = Line { $line } repeats the headings and was left out.
import-footer-left-out = Line { $line } below the children was left out: { $text }
import-equal-names = { $name } stands in line { $first } and again in line { $line }. The second one is called { $new }. If it is the same child, take one line out.
import-surnames-shortened = Surnames are shortened to the first letters, which is enough to call a child. You can keep them whole.
import-short-years = { $column } has years of two digits, such as { $sample }. They are read as years from 1990 to 2035; please check one.
import-check-letters = Please check the special letters in these names: { $names }. If they look wrong, choose another encoding.
import-garbled-letters = The special letters in { $name } look garbled. If they do, the list was garbled before it was saved: save it again as “CSV UTF-8”.
import-not-read-in =
    { $number ->
        [one] { $columns } was left out on purpose: lanes do not need it, and what is not stored cannot get lost.
       *[other] { $columns } were left out on purpose: lanes do not need them, and what is not stored cannot get lost.
    }
import-not-used =
    { $number ->
        [one] { $columns } is not used.
       *[other] { $columns } are not used.
    }
import-stride = { $columns } is not used, since a stride can mean one step or two. If it is one step, call the column “Step length”.
import-birth-year = { $columns } is not used, since a year alone is too little. Give the age or the date of birth if you have it.
import-cells-of-several-lines =
    { $number ->
        [one] A cell in line { $lines } goes over several lines. If children are missing, a quotation mark is missing there.
       *[other] Cells in lines { $lines } go over several lines. If children are missing, a quotation mark is missing there.
    }

## A list beside a class
import-compare-all-new = All { $all } children are new in this class.
import-compare-nothing-new = All { $known } children of the list are already in this class, with the same facts.
import-compare-some-new = { $known } of { $all } children are already in this class. { $changed } of them have other or more facts in the list. { $new } are new.

## The file as a whole
import-error-empty = The file is empty. Choose the file with the class list.
import-error-too-large = The file has { $provided } MB, and { $allowed } MB is the most. Save only the sheet with the class as CSV.
import-error-too-many-rows = The list goes on after { $allowed } children, in line { $line }. Save each class or year as a file of its own.
import-error-too-many-columns = Line { $line } has { $provided } columns, and { $allowed } is the most. Keep only the columns with names, ages and heights.
import-error-workbook = This is a spreadsheet workbook, not a text file. Open it, choose “Save as” and then “CSV”.
import-error-old-workbook = This is a spreadsheet workbook of the old kind, not a text file. Open it, choose “Save as” and then “CSV”.
import-error-pdf = This is a PDF. Ask for the class list as a spreadsheet, and save that as CSV.
import-error-picture = This is a picture or a film. Type the names into a list, one child a line, and save it as CSV or text.
import-error-web-page = This is a web page, even if its name says otherwise. Open it in a spreadsheet, choose “Save as” and then “CSV”.
import-error-structured = This is not a table of rows and columns. Open it in the program it comes from and save the list as CSV.
import-error-binary = This is not a text file. Save the class list as CSV.
import-error-unknown-encoding = There is no encoding called { $provided }. Choose one from the list.
import-error-unclosed-quote = A quotation mark in the row of line { $line } never closes. Put the second one, or take the first one out.
import-error-no-names = No column has the names, as far as the headings in line { $line } tell. Add one called “Name”.
import-error-no-rows = There is no child below the headings. Add one line for every child.
import-error-not-accepted = Nothing was taken over: cells that are wrong: { $bad }, questions that are open: { $questions }.
