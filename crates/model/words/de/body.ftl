# Was das Programm über Größen und Schritte sagt.

## Size
body-growing-fast = { $child } ist in { $months ->
    [one] einem Monat
   *[other] { $months } Monaten
  } um { $grown } gewachsen und wächst schnell: Die Schritte können eine Weile unsicher sein. Neu messen, wenige Sprünge und scharfe Wenden.
body-growing-fast-probably = { $child } ist in { $months ->
    [one] einem Monat
   *[other] { $months } Monaten
  } um { $grown } gewachsen und wächst wahrscheinlich schnell: Die Schritte können eine Weile unsicher sein. Neu messen, wenige Sprünge und scharfe Wenden.
body-stature-shrank = { $child } war { $months ->
    [one] einen Monat
   *[other] { $months } Monate
  } vorher { $grown } größer: Eine der beiden Größen stimmt nicht, also neu messen.
body-stature-surprising = { $stature } ist für { $child } mit { $age ->
    [one] einem Jahr
   *[other] { $age } Jahren
  } sehr ungewöhnlich: Größe und Geburtsdatum prüfen.
body-leg-length-odd = Die Beinlänge von { $child } ({ $leg }) passt nicht zur Größe und zählt nicht: vom Boden bis zum äußeren Knochenhöcker am Oberschenkel messen.
body-line-up-out-of-order = { $child } steht in der Reihe nicht dort, wo die gemessenen Größen es sagen: Platz oder Größe prüfen.
body-age-not-usable = Das Alter von { $child } kann nicht stimmen und zählt nicht: Geburtsdatum prüfen.
body-size-unknown = Von { $child } ist keine Größe bekannt, der Abstand ist nur geschätzt: messen oder die Klasse der Größe nach aufstellen.

## Steps
stride-steps-surprising = Ein Schritt von { $step } ist für { $child } sehr ungewöhnlich: noch einmal messen.
stride-observation-passed-over = Ein Eintrag zu den Schritten von { $child } kann nicht stimmen und zählt nicht: Strecke, Schritte und Abstand prüfen.

## Hurdle height
stride-hurdle-lower = Eine Hürde von { $wanted } ist { $share } der Beinlänge dieses Kindes: Für den Anfang passt { $height } besser.
stride-hurdle-floor-line = Eine Hürde von { $wanted } ist { $share } der Beinlänge dieses Kindes: mit einer Linie auf dem Boden beginnen oder über eine niedrigere gehen.
