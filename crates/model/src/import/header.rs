//! What headings mean: the words of coaches in a few languages, and the units beside them.

use super::table::Row;
use super::{Meaning, Unit, trim};

/// Longest text that can be a known heading.
const HEADING_BYTES_MAX: usize = 120;

/// Headings of our own form, which fix meaning and unit.
pub(super) const OWN_FORM: [(&str, Meaning, Option<Unit>); 10] = [
    ("id", Meaning::Id, None),
    ("name", Meaning::Name, None),
    ("sex", Meaning::Sex, None),
    ("age_y", Meaning::Age, Some(Unit::Years)),
    ("age_date", Meaning::AgeDate, None),
    ("birth_date", Meaning::BirthDate, None),
    ("stature_cm", Meaning::Stature, Some(Unit::Cm)),
    ("stature_date", Meaning::StatureDate, None),
    ("leg_length_cm", Meaning::LegLength, Some(Unit::Cm)),
    ("step_length_m", Meaning::StepLength, Some(Unit::M)),
];

/// What a heading says.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub(super) struct Heading {
    /// What the column holds, when the words are known.
    pub meaning: Option<Meaning>,
    /// Unit that stands beside the words.
    pub unit: Option<Unit>,
    /// One of the headings of our own form.
    pub own: bool,
    /// `Name`, `Nom`, `Nombre` alone: a surname or a first name when the other has a column of its own.
    pub bare_name: bool,
    /// A name the child is called by, which counts before another first name.
    pub called_by: bool,
    /// Stride: one step for some, two for others.
    pub stride: bool,
    /// The year of birth without the day.
    pub birth_year: bool,
    /// A language in which `m` is the girls' letter.
    pub m_may_be_girls: bool,
}

const NAME: &[&str] = &[
    "name",
    "names",
    "full name",
    "fullname",
    "pupil",
    "pupils",
    "pupil name",
    "pupils name",
    "student",
    "students",
    "student name",
    "students name",
    "child",
    "children",
    "child name",
    "childs name",
    "kid",
    "kids",
    "runner",
    "runners",
    "runner name",
    "athlete",
    "athletes",
    "athlete name",
    "player",
    "players",
    "player name",
    "participant",
    "participants",
    "participant name",
    "label",
    "initials",
    "name of child",
    "name of pupil",
    "surname first name",
    "last name first name",
    "first name surname",
    "first name last name",
    "first and last name",
    "surname forename",
    "forename surname",
    "kind",
    "kinder",
    "schuler",
    "schulerin",
    "schulerinnen",
    "schuler in",
    "name vorname",
    "nachname vorname",
    "vorname name",
    "vorname nachname",
    "vor und nachname",
    "teilnehmer",
    "nom",
    "noms",
    "nom prenom",
    "prenom nom",
    "nom et prenom",
    "nom de leleve",
    "nom de l eleve",
    "eleve",
    "eleves",
    "enfant",
    "enfants",
    "nombre",
    "nombres",
    "nombre y apellidos",
    "apellidos y nombre",
    "alumno",
    "alumnos",
    "alumna",
    "alumnas",
    "alumnado",
    "naam",
    "leerling",
    "leerlingen",
    "nome",
];
const FIRST_NAME: &[&str] = &[
    "first name",
    "firstname",
    "first",
    "forename",
    "forenames",
    "given name",
    "given names",
    "christian name",
    "vorname",
    "vornamen",
    "prenom",
    "prenoms",
    "voornaam",
    "fname",
    "primer nombre",
    "nombre de pila",
];
const CALLED_BY: &[&str] = &[
    "preferred name",
    "preferred first name",
    "preferred forename",
    "known as",
    "nickname",
    "call name",
    "called",
    "usual name",
    "rufname",
    "spitzname",
];
const SURNAME: &[&str] = &[
    "surname",
    "surnames",
    "last name",
    "lastname",
    "last",
    "family name",
    "second name",
    "nachname",
    "familienname",
    "zuname",
    "nom de famille",
    "apellido",
    "apellidos",
    "primer apellido",
    "achternaam",
    "cognome",
    "lname",
];
const ID: &[&str] = &[
    "id",
    "code",
    "child code",
    "runner id",
    "runner code",
    "runner no",
    "runner number",
    "kurzel",
    "kuerzel",
    "kennung",
];
const SEX: &[&str] = &[
    "sex",
    "gender",
    "sexe",
    "genre",
    "sexo",
    "genero",
    "geschlecht",
    "geslacht",
    "sesso",
    "boy girl",
    "girl boy",
    "boys girls",
    "girls boys",
    "male female",
    "female male",
    "m f",
    "f m",
    "b g",
    "g b",
    "m w",
    "w m",
    "m w d",
    "w m d",
    "m f x",
    "h f",
    "f h",
    "m v",
    "v m",
    "j m",
    "m j",
];
const AGE: &[&str] = &["age", "ages", "age now", "current age", "alter", "edad", "leeftijd", "eta"];
const AGE_DATE: &[&str] = &["age date", "age on", "age as of", "age at", "date of age"];
const BIRTH_DATE: &[&str] = &[
    "dob",
    "d o b",
    "date of birth",
    "birth date",
    "birthdate",
    "birthday",
    "born",
    "born on",
    "birth",
    "geburtsdatum",
    "geb",
    "geb datum",
    "gebdatum",
    "geburtstag",
    "geboren",
    "geboren am",
    "date de naissance",
    "date naissance",
    "naissance",
    "ne le",
    "nee le",
    "ne e le",
    "fecha de nacimiento",
    "fecha nacimiento",
    "nacimiento",
    "fecha nac",
    "f nac",
    "f nacimiento",
    "geboortedatum",
    "data di nascita",
];
const BIRTH_YEAR: &[&str] = &[
    "year of birth",
    "birth year",
    "yob",
    "born in",
    "jahrgang",
    "geburtsjahr",
    "annee de naissance",
    "ano de nacimiento",
    "geboortejaar",
];
const STATURE: &[&str] = &[
    "height",
    "heights",
    "ht",
    "hgt",
    "stature",
    "standing height",
    "body height",
    "height standing",
    "barefoot height",
    "height barefoot",
    "height without shoes",
    "height no shoes",
    "grosse",
    "groesse",
    "korpergrosse",
    "koerpergroesse",
    "korperhohe",
    "taille",
    "stature debout",
    "estatura",
    "altura",
    "talla",
    "lengte",
    "lichaamslengte",
    "altezza",
    "statura",
];
const STATURE_DATE: &[&str] = &[
    "stature date",
    "height date",
    "date of height",
    "date measured",
    "measured",
    "measured on",
    "measurement date",
    "date of measurement",
    "date of measuring",
    "height measured on",
    "messdatum",
    "gemessen",
    "gemessen am",
    "datum der messung",
    "date de mesure",
    "mesure le",
    "fecha de medida",
    "fecha de medicion",
    "fecha medicion",
    "medido el",
    "meetdatum",
];
const LEG_LENGTH: &[&str] = &[
    "leg length",
    "leg",
    "legs",
    "leg lengths",
    "leglength",
    "beinlange",
    "beinlaenge",
    "longueur de jambe",
    "longueur des jambes",
    "longueur jambe",
    "longitud de pierna",
    "longitud de piernas",
    "largo de pierna",
    "beenlengte",
];
const STEP_LENGTH: &[&str] = &[
    "step length",
    "step",
    "steplength",
    "running step",
    "running step length",
    "step size",
    "schrittlange",
    "schrittlaenge",
    "laufschritt",
    "longueur de pas",
    "longueur du pas",
    "longueur des pas",
    "longitud de paso",
    "longitud del paso",
    "staplengte",
];
const STRIDE: &[&str] = &[
    "stride",
    "stride length",
    "foulee",
    "longueur de foulee",
    "zancada",
    "longitud de zancada",
    "doppelschritt",
];
/// Known, and of no use for lanes.
const NOT_USED: &[&str] = &[
    "no",
    "nr",
    "num",
    "number",
    "lfd nr",
    "lfdnr",
    "laufende nummer",
    "s no",
    "sr no",
    "sl no",
    "row",
    "position",
    "n",
    "numero",
    "class",
    "form",
    "group",
    "team",
    "house",
    "year",
    "year group",
    "grade",
    "set",
    "klasse",
    "gruppe",
    "stufe",
    "classe",
    "groupe",
    "clase",
    "curso",
    "grupo",
    "school",
    "schule",
    "ecole",
    "colegio",
    "notes",
    "note",
    "comment",
    "comments",
    "remarks",
    "bemerkung",
    "bemerkungen",
    "remarque",
    "remarques",
    "observaciones",
    "teacher",
    "coach",
    "lehrer",
    "lehrkraft",
    "lane",
    "bib",
    "shoe size",
    "t shirt size",
];
/// Words of things that are kept out on purpose, wherever they stand in a heading.
const NOT_READ_IN: &[&str] = &[
    // Parents.
    "mother",
    "mothers",
    "father",
    "fathers",
    "parent",
    "parents",
    "guardian",
    "guardians",
    "mum",
    "mums",
    "dad",
    "dads",
    "mom",
    "carer",
    "mutter",
    "vater",
    "eltern",
    "mere",
    "pere",
    "madre",
    "padre",
    "padres",
    "moeder",
    "vader",
    "ouders",
    // Mass and sitting height, which nothing here is computed from.
    "weight",
    "wt",
    "mass",
    "gewicht",
    "korpergewicht",
    "poids",
    "peso",
    "kg",
    "lbs",
    "bmi",
    "imc",
    "sitting",
    "sitzhohe",
    "waist",
    "fat",
    // Health.
    "medical",
    "health",
    "asthma",
    "allergy",
    "allergies",
    "medication",
    "medicine",
    "condition",
    "conditions",
    "diagnosis",
    "injury",
    "injuries",
    "blood",
    "doctor",
    "gp",
    "insurance",
    "disability",
    "sen",
    "send",
    "ehcp",
    "iep",
    "gesundheit",
    "krankheit",
    "krankheiten",
    "allergie",
    "allergien",
    "medikamente",
    "sante",
    "maladie",
    "salud",
    "enfermedad",
    "alergias",
    "krankenkasse",
    // Ways to find or reach somebody.
    "address",
    "street",
    "postcode",
    "zip",
    "city",
    "town",
    "email",
    "mail",
    "phone",
    "telephone",
    "tel",
    "mobile",
    "cell",
    "emergency",
    "contact",
    "contacts",
    "adresse",
    "anschrift",
    "strasse",
    "plz",
    "ort",
    "telefon",
    "handy",
    "notfall",
    "telephones",
    "courriel",
    "direccion",
    "telefono",
    "movil",
    "correo",
    // Official numbers and what a lesson must not know.
    "upn",
    "uln",
    "ssn",
    "nhs",
    "passport",
    "religion",
    "ethnicity",
    "ethnic",
    "nationality",
    "language",
    "fsm",
    "premium",
    "photo",
    "konfession",
    "nationalitat",
    "staatsangehorigkeit",
];
/// Headings of official numbers.
const OFFICIAL_NUMBER: &[&str] = &[
    "student id",
    "student number",
    "student no",
    "pupil id",
    "pupil number",
    "pupil no",
    "matrikelnummer",
    "admission number",
    "admission no",
    "schulernummer",
];

/// Reads a heading: meaning and unit, as far as its words are known.
pub(super) fn read(text: &str) -> Heading {
    let text = trim(text);
    if text.len() > HEADING_BYTES_MAX {
        return Heading::default();
    }
    let lower = text.to_lowercase();
    if let Some((_, meaning, unit)) = OWN_FORM.iter().find(|(own, ..)| *own == lower) {
        return Heading {
            meaning: Some(*meaning),
            unit: *unit,
            own: true,
            bare_name: lower == "name",
            ..Heading::default()
        };
    }
    let words = words(&lower);
    let phrase = words.join(" ");
    let known = |list: &[&str]| list.contains(&phrase.as_str());
    if known(SEX) {
        let m_may_be_girls = matches!(phrase.as_str(), "sexo" | "genero" | "h f" | "f h" | "j m" | "m j");
        return Heading { meaning: Some(Meaning::Sex), m_may_be_girls, ..Heading::default() };
    }
    if known(OFFICIAL_NUMBER) || words.iter().any(|word| NOT_READ_IN.contains(&word.as_str())) {
        return Heading { meaning: Some(Meaning::NotReadIn), ..Heading::default() };
    }
    // "Born in" is a heading of its own before "in" is a unit.
    let whole = meaning_of(&phrase);
    let (rest, unit) = without_unit(&words);
    let (phrase, unit) = if whole.is_some() { (phrase, None) } else { (rest.join(" "), unit) };
    let meaning = whole.or_else(|| meaning_of(&phrase)).or_else(|| stature_with_time(&rest));
    let is = |list: &[&str]| list.contains(&phrase.as_str());
    Heading {
        meaning,
        unit,
        own: false,
        bare_name: is(&["name", "nom", "nombre", "naam", "nome"]),
        called_by: is(CALLED_BY),
        stride: is(STRIDE),
        birth_year: is(BIRTH_YEAR),
        m_may_be_girls: false,
    }
}

/// Returns how many different known things a row names as headings. A row of children names none, or hardly one.
pub(super) fn known_headings(row: &Row) -> usize {
    let mut seen = std::collections::BTreeSet::new();
    for cell in &row.cells {
        if let Some(meaning) = read(cell).meaning.filter(|meaning| *meaning != Meaning::NotUsed) {
            seen.insert(meaning);
        }
    }
    let named = [Meaning::Name, Meaning::FirstName, Meaning::Surname, Meaning::Id]
        .iter()
        .any(|meaning| seen.contains(meaning));
    if named || seen.len() >= 2 { seen.len() } else { 0 }
}

/// Returns the unit of a row below the header that holds only units, such as `(cm)`.
pub(super) fn lone_unit(text: &str) -> Option<Unit> {
    match words(&trim(text).to_lowercase()).as_slice() {
        [word] => unit_word(word),
        [feet, inches] if unit_word(feet) == Some(Unit::Feet) && unit_word(inches) == Some(Unit::Inches) => {
            Some(Unit::Feet)
        }
        _ => None,
    }
}

fn meaning_of(phrase: &str) -> Option<Meaning> {
    let lists: [(&[&str], Meaning); 15] = [
        (NAME, Meaning::Name),
        (FIRST_NAME, Meaning::FirstName),
        (CALLED_BY, Meaning::FirstName),
        (SURNAME, Meaning::Surname),
        (ID, Meaning::Id),
        (AGE, Meaning::Age),
        (AGE_DATE, Meaning::AgeDate),
        (BIRTH_DATE, Meaning::BirthDate),
        (BIRTH_YEAR, Meaning::NotUsed),
        (STATURE, Meaning::Stature),
        (STATURE_DATE, Meaning::StatureDate),
        (LEG_LENGTH, Meaning::LegLength),
        (STEP_LENGTH, Meaning::StepLength),
        (STRIDE, Meaning::NotUsed),
        (NOT_USED, Meaning::NotUsed),
    ];
    lists.iter().find(|(list, _)| list.contains(&phrase)).map(|(_, meaning)| *meaning)
}

/// Reads `Height Sept`, `Height 2026`, `Größe Frühjahr 2026`: a stature with the time of measuring beside it.
fn stature_with_time(words: &[String]) -> Option<Meaning> {
    const TIMES: &[&str] = &[
        "latest", "current", "now", "today", "new", "old", "last", "autumn", "winter", "spring", "summer",
        "term", "aktuell", "herbst", "fruhjahr", "sommer", "actuelle", "actual",
    ];
    let is_time = |word: &String| {
        word.chars().all(|c| c.is_ascii_digit())
            || TIMES.contains(&word.as_str())
            || super::date::month_number(word).is_some()
    };
    let (first, rest) = words.split_first()?;
    let (last, front) = words.split_last()?;
    let stature = |word: &String| STATURE.contains(&word.as_str());
    (words.len() > 1
        && (stature(first) && rest.iter().all(is_time) || stature(last) && front.iter().all(is_time)))
    .then_some(Meaning::Stature)
}

/// Takes the unit words off a heading. A heading that has nothing else keeps them.
fn without_unit(words: &[String]) -> (Vec<String>, Option<Unit>) {
    let mut rest = words.to_vec();
    let mut unit = None;
    while rest.len() > 1 {
        let last = rest.last().map_or("", String::as_str);
        let Some(found) = unit_word(last) else { break };
        match (unit, found) {
            // "ft in", "feet and inches": the feet stand first.
            (Some(Unit::Inches), Unit::Feet) => unit = Some(Unit::Feet),
            // "in cm", "height in inches": a preposition.
            (Some(_), Unit::Inches) => {}
            (None, found) => unit = Some(found),
            (Some(_), _) => break,
        }
        rest.pop();
        while rest.len() > 1
            && matches!(rest.last().map_or("", String::as_str), "en" | "and" | "und" | "et" | "y")
        {
            rest.pop();
        }
    }
    (rest, unit)
}

fn unit_word(word: &str) -> Option<Unit> {
    Some(match word {
        "cm" | "cms" | "centimetre" | "centimetres" | "centimeter" | "centimeters" | "zentimeter"
        | "centimetros" => Unit::Cm,
        "m" | "metre" | "metres" | "meter" | "meters" | "metros" => Unit::M,
        "mm" | "millimetre" | "millimetres" | "millimeter" | "millimeters" => Unit::Mm,
        "in" | "ins" | "inch" | "inches" | "zoll" | "pouces" | "pulgadas" => Unit::Inches,
        "ft" | "foot" | "feet" | "fuss" | "pieds" | "pies" => Unit::Feet,
        "y" | "yr" | "yrs" | "year" | "years" | "jahre" | "jahren" | "ans" | "anos" | "jaar" => Unit::Years,
        "mo" | "mos" | "mths" | "month" | "months" | "monate" | "monaten" | "mois" | "meses" | "maanden" => {
            Unit::Months
        }
        _ => return None,
    })
}

/// Splits into words of letters and digits, without accents, umlauts and apostrophes.
fn words(lower: &str) -> Vec<String> {
    let mut words = vec![String::new()];
    for c in lower.chars() {
        match plain_letter(c) {
            Some(letters) => words.last_mut().expect("never empty").push_str(letters),
            None if c.is_alphanumeric() => words.last_mut().expect("never empty").push(c),
            None if matches!(c, '\'' | '’') => {}
            None => words.push(String::new()),
        }
    }
    words.retain(|word| !word.is_empty());
    words
}

fn plain_letter(c: char) -> Option<&'static str> {
    Some(match c {
        'à' | 'á' | 'â' | 'ã' | 'ä' | 'å' => "a",
        'ç' => "c",
        'è' | 'é' | 'ê' | 'ë' => "e",
        'ì' | 'í' | 'î' | 'ï' => "i",
        'ñ' => "n",
        'ò' | 'ó' | 'ô' | 'õ' | 'ö' | 'ø' => "o",
        'ù' | 'ú' | 'û' | 'ü' => "u",
        'ý' | 'ÿ' => "y",
        'ß' => "ss",
        // Accents that stand as characters of their own.
        '\u{300}'..='\u{36f}' => "",
        _ => return None,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn check(text: &str, meaning: Meaning, unit: Option<Unit>) {
        let heading = read(text);
        assert_eq!((heading.meaning, heading.unit), (Some(meaning), unit), "{text:?}");
    }

    #[test]
    fn headings_of_coaches_are_understood() {
        check("Height (cm)", Meaning::Stature, Some(Unit::Cm));
        check(" HEIGHT IN CM ", Meaning::Stature, Some(Unit::Cm));
        check("Height [m]", Meaning::Stature, Some(Unit::M));
        check("Height (ft/in)", Meaning::Stature, Some(Unit::Feet));
        check("Height in feet and inches", Meaning::Stature, Some(Unit::Feet));
        check("height_in", Meaning::Stature, Some(Unit::Inches));
        check("Height in inches", Meaning::Stature, Some(Unit::Inches));
        check("Height Sept 2025 (cm)", Meaning::Stature, Some(Unit::Cm));
        check("Größe", Meaning::Stature, None);
        check("Körpergröße in cm", Meaning::Stature, Some(Unit::Cm));
        check("Taille en mètres", Meaning::Stature, Some(Unit::M));
        check("Estatura (m)", Meaning::Stature, Some(Unit::M));
        check("DOB", Meaning::BirthDate, None);
        check("D.O.B.", Meaning::BirthDate, None);
        check("Geb.-Datum", Meaning::BirthDate, None);
        check("Né(e) le", Meaning::BirthDate, None);
        check("Leg length", Meaning::LegLength, None);
        check("Step length (m)", Meaning::StepLength, Some(Unit::M));
        check("Age (months)", Meaning::Age, Some(Unit::Months));
        check("Age in years", Meaning::Age, Some(Unit::Years));
        check("M/F", Meaning::Sex, None);
        check("Boy/Girl", Meaning::Sex, None);
        check("Pupil's name", Meaning::Name, None);
        check("Prénom", Meaning::FirstName, None);
        check("First Name", Meaning::FirstName, None);
        check("stature_cm", Meaning::Stature, Some(Unit::Cm));
        check("Date measured", Meaning::StatureDate, None);
        check("No.", Meaning::NotUsed, None);
    }

    #[test]
    fn what_must_not_be_read_is_known() {
        for text in [
            "Weight (kg)",
            "Mother's height",
            "Father height cm",
            "Sitting height (cm)",
            "Medical notes",
            "Home address",
            "E-mail",
            "Parent phone",
            "Emergency contact",
            "UPN",
            "Pupil ID",
            "Gewicht",
            "Poids (kg)",
            "BMI",
        ] {
            assert_eq!(read(text).meaning, Some(Meaning::NotReadIn), "{text:?}");
        }
    }

    #[test]
    fn other_heights_and_sizes_are_not_statures() {
        for text in ["Hurdle height", "Desk height", "Size", "7 Larch", "Anna", "m", "143", ""] {
            assert_eq!(read(text).meaning, None, "{text:?}");
        }
    }

    #[test]
    fn our_own_headings_are_known_whatever_their_case() {
        for (own, meaning, unit) in OWN_FORM {
            check(&own.to_uppercase(), meaning, unit);
            assert!(read(own).own);
        }
    }
}
