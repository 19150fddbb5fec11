//! Every route, once: the service is built from this table, and so is the document that describes it.

use axum::Router;
use axum::http::Method;
use axum::middleware;
use axum::routing::{MethodRouter, get, post};
use serde_json::{Map, Value, json};

use crate::password::{SIGNS_MAX, SIGNS_MIN};
use crate::problem::{self, Problem};
use crate::{AppState, api, devices, password, session};

/// Who is answered.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Who {
    /// Everybody who asks at the right address.
    Anyone,
    /// Whoever has an open session.
    Session,
    /// A coach with an open session.
    Coach,
}

/// One route.
pub struct Route {
    /// How it is asked.
    pub method: Method,
    /// Where; `{name}` is a part that varies.
    pub path: &'static str,
    /// Who is answered.
    pub who: Who,
    /// What it does, in a sentence.
    pub says: &'static str,
    /// Names and meanings of what may stand behind the question mark.
    query: &'static [(&'static str, &'static str, &'static str)],
    /// Schema of the body.
    takes: Option<&'static str>,
    /// Status of a good answer.
    status: u16,
    /// Schema of a good answer.
    gives: Option<&'static str>,
    handler: fn() -> MethodRouter<AppState>,
}

/// Every route but the files of the app.
pub const ROUTES: &[Route] = &[
    Route {
        method: Method::GET,
        path: "/open/{token}",
        who: Who::Anyone,
        says: "Uses a one-time link up, opens a session, goes to the start page.",
        query: &[],
        takes: None,
        status: 303,
        gives: None,
        handler: || get(session::open),
    },
    Route {
        method: Method::GET,
        path: "/problems/{name}",
        who: Who::Anyone,
        says: "Explains a problem, as a page.",
        query: &[],
        takes: None,
        status: 200,
        gives: None,
        handler: || get(problem::page),
    },
    Route {
        method: Method::GET,
        path: "/api/v1/health",
        who: Who::Anyone,
        says: "Says whether the store answers.",
        query: &[],
        takes: None,
        status: 200,
        gives: Some("Health"),
        handler: || get(api::health),
    },
    Route {
        method: Method::POST,
        path: "/api/v1/password/enter",
        who: Who::Anyone,
        says: "Opens a coach's session for whoever knows the school's password. On this computer or under TLS only.",
        query: &[],
        takes: Some("Password"),
        status: 204,
        gives: None,
        handler: || post(password::enter),
    },
    Route {
        method: Method::GET,
        path: "/api/v1/me",
        who: Who::Session,
        says: "Says what the one who asks may do, and whether the store still stands where they were told.",
        query: &[
            ("history", "uuid", "History that the device was told last."),
            ("seq", "integer", "Number of the last change that it was told."),
        ],
        takes: None,
        status: 200,
        gives: Some("Me"),
        handler: || get(session::me),
    },
    Route {
        method: Method::POST,
        path: "/api/v1/push",
        who: Who::Session,
        says: "Stores records and answers each. A helper's are taken if they are recordings in their lanes.",
        query: &[],
        takes: Some("Push"),
        status: 200,
        gives: Some("PushAnswer"),
        handler: || post(api::push),
    },
    Route {
        method: Method::GET,
        path: "/api/v1/pull",
        who: Who::Session,
        says: "Returns records that were committed after a cursor: all for a coach, a few kinds for a helper.",
        query: &[
            ("after", "integer", "The cursor of the answer before; 0 to begin."),
            ("limit", "integer", "Most records, from 1."),
        ],
        takes: None,
        status: 200,
        gives: Some("PullAnswer"),
        handler: || get(api::pull),
    },
    Route {
        method: Method::GET,
        path: "/api/v1/clock",
        who: Who::Session,
        says: "Says what time it is here.",
        query: &[],
        takes: None,
        status: 200,
        gives: Some("Clock"),
        handler: || get(api::clock),
    },
    Route {
        method: Method::POST,
        path: "/api/v1/leave",
        who: Who::Session,
        says: "Ends the session of the one who asks.",
        query: &[],
        takes: Some("Nothing"),
        status: 204,
        gives: None,
        handler: || post(session::leave),
    },
    Route {
        method: Method::GET,
        path: "/api/v1/addresses",
        who: Who::Coach,
        says: "Says where other devices reach this program.",
        query: &[],
        takes: None,
        status: 200,
        gives: Some("Addresses"),
        handler: || get(devices::addresses),
    },
    Route {
        method: Method::GET,
        path: "/api/v1/devices",
        who: Who::Coach,
        says: "Lists the devices that are in and the links that wait.",
        query: &[],
        takes: None,
        status: 200,
        gives: Some("Devices"),
        handler: || get(devices::list),
    },
    Route {
        method: Method::POST,
        path: "/api/v1/devices/end",
        who: Who::Coach,
        says: "Signs out one device, or all others; then links that wait are taken back as well.",
        query: &[],
        takes: Some("End"),
        status: 200,
        gives: Some("Ended"),
        handler: || post(devices::end),
    },
    Route {
        method: Method::POST,
        path: "/api/v1/links",
        who: Who::Coach,
        says: "Makes a one-time link for another device. On this computer or under TLS only.",
        query: &[],
        takes: Some("Invitation"),
        status: 200,
        gives: Some("Link"),
        handler: || post(devices::invite),
    },
    Route {
        method: Method::POST,
        path: "/api/v1/links/void",
        who: Who::Coach,
        says: "Takes back all links that were not used.",
        query: &[],
        takes: Some("Nothing"),
        status: 204,
        gives: None,
        handler: || post(devices::void),
    },
    Route {
        method: Method::GET,
        path: "/api/v1/password",
        who: Who::Coach,
        says: "Says whether the school has a password, and whether one may be sent on this connection.",
        query: &[],
        takes: None,
        status: 200,
        gives: Some("PasswordState"),
        handler: || get(password::look),
    },
    Route {
        method: Method::POST,
        path: "/api/v1/password",
        who: Who::Coach,
        says: "Sets or changes the school's password. On this computer or under TLS only.",
        query: &[],
        takes: Some("NewPassword"),
        status: 200,
        gives: Some("PasswordSet"),
        handler: || post(password::set),
    },
    Route {
        method: Method::POST,
        path: "/api/v1/password/away",
        who: Who::Coach,
        says: "Takes the school's password away.",
        query: &[],
        takes: Some("Nothing"),
        status: 204,
        gives: None,
        handler: || post(password::away),
    },
];

/// Returns the routes of the API, each closed to whom it is not for, below `/api`.
pub(crate) fn api(state: &AppState) -> Router<AppState> {
    let route = |router: Router<AppState>, route: &Route| {
        let path = route.path.strip_prefix("/api").expect("chosen so");
        let handler = (route.handler)();
        router.route(
            path,
            match route.who {
                Who::Coach => handler.layer(middleware::from_fn(session::coach_only)),
                Who::Session | Who::Anyone => handler,
            },
        )
    };
    let closed = ROUTES.iter().filter(|route| route.who != Who::Anyone);
    // Closed as a whole: what is not there is closed to strangers as well.
    closed
        .fold(Router::new(), route)
        .fallback(async || Problem::NotFound)
        .method_not_allowed_fallback(async || Problem::OtherMethod)
        .layer(middleware::from_fn_with_state(state.clone(), session::require))
}

/// Returns the routes that are open to everyone.
pub(crate) fn open() -> Router<AppState> {
    let open = ROUTES.iter().filter(|route| route.who == Who::Anyone);
    open.fold(Router::new(), |router, route| router.route(route.path, (route.handler)()))
}

/// Returns the description of the service in the OpenAPI format, version 3.1.
pub fn openapi() -> Value {
    let mut paths = Map::new();
    for route in ROUTES {
        let method = route.method.as_str().to_lowercase();
        let path = paths.entry(route.path).or_insert_with(|| json!({}));
        path[method] = operation(route);
    }
    json!({
        "openapi": "3.1.0",
        "info": {
            "title": "Lanewright",
            "version": "1",
            "description": "What the app and the program say to each other. docs/formats/sync.md says what it means.",
        },
        "paths": paths,
        "components": {
            "schemas": schemas(),
            "securitySchemes": {
                "session": {
                    "type": "apiKey",
                    "in": "cookie",
                    "name": "lanewright-PORT",
                    "description": "Set by a one-time link. Under TLS its name begins with __Host-.",
                },
            },
        },
    })
}

fn operation(route: &Route) -> Value {
    let reference = |name: &str| json!({"$ref": format!("#/components/schemas/{name}")});
    let content = |name: &str| json!({"application/json": {"schema": reference(name)}});
    let problem = json!({
        "description": "A problem (RFC 9457).",
        "content": {"application/problem+json": {"schema": reference("Problem")}},
    });
    let mut good = json!({"description": "As asked."});
    if let Some(gives) = route.gives {
        good["content"] = content(gives);
    }
    let parts = route.path.split('/').filter_map(|part| part.strip_prefix('{')?.strip_suffix('}'));
    let in_path =
        parts.map(|name| json!({"name": name, "in": "path", "required": true, "schema": {"type": "string"}}));
    let in_query = route.query.iter().map(|(name, kind, says)| {
        let schema = match *kind {
            "integer" => json!({"type": "integer", "minimum": 0}),
            format => json!({"type": "string", "format": format}),
        };
        json!({"name": name, "in": "query", "required": false, "description": says, "schema": schema})
    });
    let mut operation = json!({
        "summary": route.says,
        "responses": {route.status.to_string(): good, "default": problem},
        "security": match route.who {
            Who::Anyone => json!([]),
            Who::Session | Who::Coach => json!([{"session": []}]),
        },
        "x-who": match route.who {
            Who::Anyone => "anyone",
            Who::Session => "coach or helper",
            Who::Coach => "coach",
        },
    });
    let parameters: Vec<Value> = in_path.chain(in_query).collect();
    if !parameters.is_empty() {
        operation["parameters"] = parameters.into();
    }
    if let Some(takes) = route.takes {
        operation["requestBody"] = json!({"required": true, "content": content(takes)});
    }
    operation
}

/// Shapes of what is sent and answered. What the server takes is closed; what it answers may gain keys.
fn schemas() -> Value {
    let text = || json!({"type": "string"});
    let uuid = || json!({"type": "string", "format": "uuid"});
    let number = || json!({"type": "integer", "minimum": 0});
    let yes = || json!({"type": "boolean"});
    let list = |of: Value| json!({"type": "array", "items": of});
    let or_null = |kind: &str| json!({"type": [kind, "null"]});
    let lanes = || json!({"type": ["array", "null"], "items": {"type": "string", "pattern": "^[A-Z]{1,2}$"}});
    let of = |name: &str| json!({"$ref": format!("#/components/schemas/{name}")});
    let role = || json!({"enum": ["coach", "helper"]});
    let given =
        |required: &[&str], keys: Value| json!({"type": "object", "required": required, "properties": keys});
    let taken = |required: &[&str], keys: Value| {
        let mut schema = given(required, keys);
        schema["additionalProperties"] = json!(false);
        schema
    };
    json!({
        "Nothing": taken(&[], json!({})),
        "Record": taken(&["id", "kind", "version", "body", "stamp", "school"], json!({
            "id": uuid(), "kind": text(), "version": number(), "body": {"type": "object"}, "stamp": text(),
            "school": uuid(),
        })),
        "Key": given(&["kind", "id"], json!({"kind": text(), "id": uuid()})),
        "Place": given(&["history", "seq"], json!({"history": uuid(), "seq": number()})),
        "Push": taken(&["records"], json!({"records": list(of("Record"))})),
        "PushAnswer": given(&["acked", "refused", "now_ms", "at"], json!({
            "acked": list(given(&["key", "stamp", "digest"], json!({
                "key": of("Key"), "stamp": text(), "digest": text(),
            }))),
            "refused": list(given(&["key", "stamp", "reason"], json!({
                "key": of("Key"), "stamp": text(),
                "reason": {
                    "type": "string",
                    "examples": ["clock-ahead", "other-school", "bad-body", "other-role", "other-lane"],
                },
            }))),
            "now_ms": number(), "at": of("Place"),
        })),
        "PullAnswer": given(&["records", "cursor", "more", "at"], json!({
            "records": list(of("Record")), "cursor": number(), "more": yes(), "at": of("Place"),
        })),
        "Health": given(&["status"], json!({"status": {"const": "ok"}})),
        "Clock": given(&["now_ms"], json!({"now_ms": number()})),
        "Me": given(&["role", "lanes", "school", "device", "until_ms", "at", "known"], json!({
            "role": role(), "lanes": lanes(), "school": uuid(),
            "device": {"enum": ["this-computer", "network"]}, "until_ms": number(), "at": of("Place"),
            "known": yes(),
            "helpers": {"type": "integer", "minimum": 0, "description": "For coaches: helpers in or invited."},
            "coaches": {"type": "integer", "minimum": 0,
                "description": "For coaches: other coaches' devices that asked for something today (UTC)."},
        })),
        "Addresses": given(&["network", "encrypted", "addresses"], json!({
            "network": yes(), "encrypted": yes(), "addresses": list(json!({"type": "string", "format": "uri"})),
        })),
        "Devices": given(&["devices", "links"], json!({
            "devices": list(given(
                &["name", "number", "label", "role", "lanes", "since_ms", "seen_day", "this"],
                json!({
                    "name": text(), "number": number(), "label": or_null("string"), "role": role(),
                    "lanes": lanes(), "since_ms": number(), "seen_day": number(), "this": yes(),
                }),
            )),
            "links": list(given(&["role", "lanes", "label", "expires_ms"], json!({
                "role": role(), "lanes": lanes(), "label": or_null("string"), "expires_ms": number(),
            }))),
        })),
        "Invitation": taken(&["role"], json!({
            "role": role(), "lanes": lanes(), "label": {"type": ["string", "null"], "maxLength": 40},
        })),
        "Link": given(&["path", "expires_ms"], json!({"path": text(), "expires_ms": number()})),
        "End": {"oneOf": [
            taken(&["name"], json!({"name": text()})),
            taken(&["others"], json!({"others": yes()})),
        ]},
        "Ended": given(&["ended"], json!({"ended": number()})),
        "Password": taken(&["password"], json!({"password": text()})),
        "NewPassword": taken(&["password"], json!({
            "password": {"type": "string", "minLength": SIGNS_MIN, "maxLength": SIGNS_MAX},
            "others": {"type": "boolean", "description": "Signs every other device out, takes links that wait back."},
        })),
        "PasswordState": given(&["set_ms", "in_clear", "signs_min", "signs_max"], json!({
            "set_ms": {"type": ["integer", "null"], "minimum": 0, "description": "Null: there is none."},
            "in_clear": yes(), "signs_min": number(), "signs_max": number(),
        })),
        "PasswordSet": given(&["set_ms", "ended"], json!({"set_ms": number(), "ended": number()})),
        "Problem": given(&["type", "title", "status", "detail"], json!({
            "type": text(), "title": text(), "status": number(), "detail": text(),
        })),
    })
}
