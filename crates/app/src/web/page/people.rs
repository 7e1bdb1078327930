//! Who is in: the codes with their pictures for the lead; one's own name for everybody.

use super::{Answer, Wrong};
use crate::web::frame::{self, Of, Page};
use crate::web::gate::{Person, Role};
use crate::web::guard::{self, must_be};
use crate::web::news::News;
use crate::web::state::Station;
use axum::extract::{Form, State};
use axum::http::{HeaderMap, StatusCode, header};
use axum::response::{IntoResponse, Redirect};
use axum::routing::{get, post};
use axum::{Extension, Router};
use maud::{Markup, PreEscaped, html};
use qrcodegen::{QrCode, QrCodeEcc};
use serde::Deserialize;
use std::fmt::Write as _;
use std::sync::Arc;
use std::time::Instant;

pub(super) fn routes() -> Router<Arc<Station>> {
    Router::new()
        .route("/people", get(people))
        .route("/people/codes", post(codes))
        .route("/people/off", post(off))
        .route("/me", get(me).post(rename))
        .route("/me/leave", post(leave))
}

/// An address as a picture to hold a phone's camera to: dark on light also where the page is dark.
fn picture(address: &str) -> Option<Markup> {
    let code = QrCode::encode_text(address, QrCodeEcc::Medium).ok()?;
    let size = code.size();
    let mut path = String::new();
    for y in 0..size {
        for x in (0..size).filter(|x| code.get_module(*x, y)) {
            // Writing to a string does not fail.
            let _ = write!(path, "M{} {}h1v1h-1z", x + 4, y + 4);
        }
    }
    let room = size + 8;
    Some(PreEscaped(format!(
        "<svg class=\"qr\" viewBox=\"0 0 {room} {room}\" role=\"img\" aria-label=\"The address as a QR code\">\
         <rect width=\"{room}\" height=\"{room}\" fill=\"#fff\"/><path d=\"{path}\" fill=\"#000\"/></svg>"
    )))
}

async fn people(
    State(station): State<Arc<Station>>,
    Extension(person): Extension<Person>,
    headers: HeaderMap,
) -> Answer {
    must_be(&person, Role::Lead)?;
    let own = headers.get(header::HOST).and_then(|h| h.to_str().ok()).unwrap_or_default().to_owned();
    let alone = station.at.ip().is_loopback();
    let hosts: Vec<String> = if alone { vec![own] } else { addresses(&station, own) };
    let (all, pairs) = {
        let mut gate = station.gate();
        let pairs = [Role::Crew, Role::Viewer].map(|role| (role, gate.code(role).unwrap_or_default()));
        (gate.people(Instant::now()), pairs)
    };
    let body = html! {
        h1 { "Phones" }
        @if alone {
            p { "The program listens on this laptop alone. Start it with " code { "--listen 0.0.0.0" } " to let phones join." }
        } @else {
            p { "On the same network open the address, or hold the phone's camera to the picture." }
        }
        div.codes {
            @for (role, code) in &pairs {
                section.card {
                    h2 { (frame::capital(role.word())) }
                    p { (may(*role)) }
                    p.code { (code) }
                    // Nothing that a phone could open.
                    @for host in hosts.iter().filter(|_| !alone) {
                        p { code { "http://" (host) "/join" } }
                        @if let Some(picture) = picture(&format!("http://{host}/join?code={code}")) { (picture) }
                    }
                }
            }
        }
        h2 { "Who is in" }
        ul #who data-live {
            @for p in &all { li { (p.name) ", " (p.role.word()) @if p.device == person.device { " (you)" } } }
        }
        form.row method="post" action="/people/codes" { button { "Change the codes" } p { "Who is in stays in." } }
        form.row method="post" action="/people/off" { button { "Send everybody off" } p { "They need a code to come back. Entries that wait on their phones are kept there." } }
    };
    let page = Page { title: "Phones", of: Of::Nothing, hears: "people", body };
    Ok(frame::page(&station, &person, &page).into_response())
}

fn may(role: Role) -> &'static str {
    match role {
        Role::Viewer => "Sees everything and changes nothing.",
        Role::Crew => "Reads gauges, does and signs steps, takes photos.",
        Role::Lead => "Changes the rig and lets others in.",
    }
}

/// The addresses that phones may find this laptop at: the one that the page came by, unless that is the laptop's own.
fn addresses(station: &Station, own: String) -> Vec<String> {
    if !station.at.ip().is_unspecified() {
        return vec![station.at.to_string()];
    }
    let name = own.rsplit_once(':').map_or(own.as_str(), |(name, _)| name);
    let at_home = name == "localhost" || name.parse::<std::net::IpAddr>().is_ok_and(|ip| ip.is_loopback());
    if !at_home {
        return vec![own];
    }
    // The address by which this laptop would go out; nothing is sent.
    let out = std::net::UdpSocket::bind("0.0.0.0:0").and_then(|s| {
        s.connect("192.0.2.1:9")?;
        s.local_addr()
    });
    out.map_or_else(|_| vec![own], |a| vec![format!("{}:{}", a.ip(), station.at.port())])
}

async fn codes(State(station): State<Arc<Station>>, Extension(person): Extension<Person>) -> Answer {
    must_be(&person, Role::Lead)?;
    station.gate().change_codes().map_err(|_| {
        Wrong::new(StatusCode::INTERNAL_SERVER_ERROR, "this machine gives no random numbers", "")
    })?;
    Ok(Redirect::to("/people").into_response())
}

async fn off(State(station): State<Arc<Station>>, Extension(person): Extension<Person>) -> Answer {
    must_be(&person, Role::Lead)?;
    station.gate().send_off();
    station.tell(News::People);
    Ok(Redirect::to("/people").into_response())
}

async fn me(State(station): State<Arc<Station>>, Extension(person): Extension<Person>) -> Answer {
    let body = html! {
        h1 { (person.name) ", " (person.role.word()) }
        p { (may(person.role)) }
        form.card method="post" action="/me" {
            label { "Your name, as it shall stand beside what you write"
                input name="name" required maxlength="60" autocomplete="name" value=(person.name); }
            button { "Keep" }
        }
        form.row method="post" action="/me/leave" { button { "Leave" } p { "This phone needs a code to come back." } }
    };
    let page = Page { title: "You", of: Of::Nothing, hears: "", body };
    Ok(frame::page(&station, &person, &page).into_response())
}

#[derive(Debug, Deserialize)]
struct Named {
    name: String,
}

async fn rename(State(station): State<Arc<Station>>, headers: HeaderMap, Form(named): Form<Named>) -> Answer {
    if let Some(token) = guard::token_of(&headers) {
        station.gate().rename(&token, &named.name);
        station.tell(News::People);
    }
    Ok(Redirect::to("/me").into_response())
}

async fn leave(State(station): State<Arc<Station>>, headers: HeaderMap) -> Answer {
    if let Some(token) = guard::token_of(&headers) {
        station.gate().leave(&token);
        station.tell(News::People);
    }
    Ok(Redirect::to("/join").into_response())
}
