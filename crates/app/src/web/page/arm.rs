//! The arm: balance, drives and plates; the isolator, and what of the road reaches the picture.

use super::prose::words;
use super::said::{figure, medium, printed};
use super::{Answer, Wrong};
use crate::chart::{balance, shaking, transmissibility, width};
use crate::command::balance::{balance_of, usual};
use crate::command::check::cannot;
use crate::print;
use crate::web::frame::Place;
use crate::web::gate::Person;
use crate::web::state::Station;
use axum::extract::{Path, State};
use axum::http::HeaderMap;
use axum::routing::get;
use axum::{Extension, Router};
use draw::view::Medium;
use maud::{Markup, html};
use rig::Rig;
use std::sync::Arc;
use verdict::picture::Asked;

pub(super) const PLACE: Place =
    Place { path: "arm", title: "Arm", says: "balance, drives and plates, the isolator, the picture" };

pub(super) fn routes() -> Router<Arc<Station>> {
    Router::new().route("/rig/{name}/arm", get(page))
}

async fn page(
    State(station): State<Arc<Station>>,
    Extension(person): Extension<Person>,
    Path(name): Path<String>,
    headers: HeaderMap,
) -> Answer {
    let medium = medium(&headers);
    super::of_rig(&station, &person, name, &PLACE, move |_, rig| {
        // One that cannot be had leaves the others.
        let said = |part: Result<Markup, Wrong>| part.unwrap_or_else(|wrong| wrong.words());
        Ok(html! {
            h1 { "Arm" }
            div #drawing data-live {
                h2 { "Balance" }
                @if rig.arm.is_some() { (said(boom(rig, medium))) }
                @else { p { "This rig has no arm: there is no boom to balance, and no isolator on it." } }
                @if rig.arm.is_some() { h2 { "Isolator" } (said(isolator(rig, medium))) }
                h2 { "Picture" }
                (said(picture(rig, medium)))
            }
        })
    })
    .await
}

fn boom(rig: &Rig, medium: Medium) -> Result<Markup, Wrong> {
    let balance = balance_of(rig, &usual())?;
    let said = printed(|out| print::balance::write(out, rig, &balance))?;
    let chart = balance::by_payload(rig, &balance);
    Ok(html! {
        @if let Some(chart) = chart { (figure(&chart.svg_for(width(medium)))) }
        @else { p { "There is no chart to draw: more than the payload is not weighed." } }
        (words("The balance in words", &said))
    })
}

fn isolator(rig: &Rig, medium: Medium) -> Result<Markup, Wrong> {
    let found = verdict::isolator::isolator(rig, None).map_err(|fault| cannot(&fault))?;
    let Some(isolator) = found else {
        return Ok(html! { p { "This rig has no isolator: describe it under " code { "[isolator]" } "." } });
    };
    let said = printed(|out| print::isolator::write(out, rig, &isolator))?;
    Ok(html! {
        (figure(&transmissibility::over_frequency(&isolator).svg_for(width(medium))))
        (words("The isolator in words", &said))
    })
}

fn picture(rig: &Rig, medium: Medium) -> Result<Markup, Wrong> {
    if rig.camera.is_none() {
        return Ok(html! { p { "No camera is described: add it under " code { "[camera]" } "." } });
    }
    let picture = verdict::picture::picture(rig, &Asked::default()).map_err(|fault| cannot(&fault))?;
    let said = printed(|out| print::picture::write(out, rig, &picture))?;
    Ok(html! {
        (figure(&shaking::over_frequency(&picture).svg_for(width(medium))))
        (words("The picture in words", &said))
    })
}
