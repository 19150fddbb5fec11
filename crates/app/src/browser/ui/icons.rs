//! Pictures, drawn for this app on a 24 by 24 grid. All are decoration beside words.

use leptos::prelude::*;

/// Returns an icon.
pub fn icon(name: &'static str) -> AnyView {
    let shape = match name {
        // Three children of different height.
        "class" => {
            "<circle cx='5' cy='11' r='2.1'/><path d='M5 13.5v6.5'/><circle cx='12' cy='7.6' r='2.3'/><path d='M12 10.5v9.5'/><circle cx='19' cy='4.2' r='2.2'/><path d='M19 7v13'/>"
        }
        // A list with ticks.
        "today" => "<path d='M3.5 6.5l2 2 3.5-4M3.5 13l2 2 3.5-4M12.5 6h8M12.5 13h8M4 20h16.5'/>",
        // One hurdle, from the front.
        "kit" => "<path d='M5 20V7.5h14V20M2.5 20h5M16.5 20h5M5 12h14'/>",
        // Looking down a lane with hurdles.
        "lanes" => "<path d='M8.5 3L3.5 21M15.5 3l5 18M8 7h8M6.6 12h10.8M5 18h14'/>",
        // A watch.
        "lesson" => {
            "<circle cx='12' cy='13' r='8'/><path d='M12 8.500V13l3 2M9.500 2.500h5M18.500 5.500l1.500 1.500'/>"
        }
        "pause" => "<path d='M8 5v14M16 5v14'/>",
        "play" => "<path d='M7 4.500l12 7.500-12 7.500z'/>",
        "skip" => "<path d='M5 5l9 7-9 7zM18.500 5v14'/>",
        "back" => "<path d='M19 5l-9 7 9 7zM5.500 5v14'/>",
        // A hurdle that fell, and a finger that says so.
        "trackside" => "<path d='M3 20.5h18M6 17l-2.500 3.500M18 17l2.500 3.500M12 14V4M8 8l4-4 4 4'/>",
        // Ranges with their dots.
        "findings" => {
            "<path d='M4 6h16M4 12h16M4 18h16'/><circle cx='15' cy='6' r='2'/><circle cx='9' cy='12' r='2'/><circle cx='17' cy='18' r='2'/>"
        }
        "print" => "<path d='M7 8V3.5h10V8M7 17H4V8.5h16V17h-3M7 13.5h10v7H7z'/>",
        "tape" => {
            "<path d='M3 15.5h18v5H3zM7 15.5v2.4M11 15.5v2.4M15 15.5v2.4M19 15.5v2.4M4 9.5h16M4 9.5l3-2.5M4 9.5l3 2.5M20 9.5l-3-2.5M20 9.5l-3 2.5'/>"
        }
        "add" => "<path d='M12 4.5v15M4.5 12h15'/>",
        "close" => "<path d='M5.5 5.5l13 13M18.5 5.5l-13 13'/>",
        "next" => "<path d='M5 12h13.5M13 6l6 6-6 6'/>",
        "chevron" => "<path d='M9 5.5l6.5 6.5L9 18.5'/>",
        "device" => "<rect x='6.5' y='2.5' width='11' height='19' rx='2.2'/><path d='M10.5 18.2h3'/>",
        "sent" => "<path d='M12 20V5M5.5 11L12 4.5l6.5 6.5'/>",
        "note" => "<circle cx='12' cy='12' r='9'/><path d='M12 11v5.5M12 7.5v.2'/>",
        "confirmed" => "<path d='M4 12.8l5.2 5.2L20 6.5'/>",
        "warning" => "<path d='M12 3.5L2.5 20.5h19zM12 10v5M12 17.8v.2'/>",
        "undo" => "<path d='M4 9.5h10.5a5.5 5.5 0 0 1 0 11H9M4 9.5L8.8 4.8M4 9.5l4.8 4.7'/>",
        "file" => "<path d='M6 2.5h8l4.5 4.5v14.5H6zM14 2.5V7h4.5M9 12h6.5M9 16h6.5'/>",
        "swap" => "<path d='M4 8h14M14 4l4 4-4 4M20 16H6M10 12l-4 4 4 4'/>",
        "edit" => "<path d='M4 20l1-4.5L16.2 4.3l3.5 3.5L8.5 19zM13.7 6.8l3.5 3.5'/>",
        "present" => "<path d='M4 12.8l5.2 5.2L20 6.5'/>",
        "easy" => "<path d='M3 14c2.5-5 5-5 7.500 0s5 5 10.500-2'/>",
        "helping" => "<path d='M4 20V11h10v9M2.500 20h4M12 20h4M18.500 3v7M15 6.500h7'/>",
        "absent" => "<path d='M4.500 12h15'/>",
        _ => "",
    };
    let svg = format!(
        "<svg viewBox='0 0 24 24' width='24' height='24' fill='none' stroke='currentColor' stroke-width='2' \
         stroke-linecap='round' stroke-linejoin='round' aria-hidden='true' focusable='false'>{shape}</svg>"
    );
    view! { <span class="icon" inner_html=svg></span> }.into_any()
}
