//! The day of the batteries, voltages, cables and fuses.

use super::Answer;
use super::prose::words;
use super::said::{figure, medium, printed};
use crate::chart::{charge, width};
use crate::command::power::told;
use crate::print;
use crate::web::frame::Place;
use crate::web::gate::Person;
use crate::web::state::Station;
use axum::extract::{Path, State};
use axum::http::HeaderMap;
use axum::routing::get;
use axum::{Extension, Router};
use maud::html;
use std::sync::Arc;

pub(super) const PLACE: Place =
    Place { path: "power", title: "Power", says: "batteries over the day, voltages, cables and fuses" };

pub(super) fn routes() -> Router<Arc<Station>> {
    Router::new().route("/rig/{name}/power", get(page))
}

async fn page(
    State(station): State<Arc<Station>>,
    Extension(person): Extension<Person>,
    Path(name): Path<String>,
    headers: HeaderMap,
) -> Answer {
    let medium = medium(&headers);
    super::of_rig(&station, &person, name, &PLACE, move |_, rig| {
        let sheet = told(rig, |sheet| {
            let day = sheet.tables.zip(rig.power.as_ref());
            let chart = day.and_then(|(tables, power)| charge::over_the_day(rig, power, tables));
            (chart.map(|c| c.svg_for(width(medium))), printed(|out| print::power::write(out, sheet)))
        })?;
        Ok(html! {
            h1 { "Power" }
            div #drawing data-live {
                @match sheet {
                    None => p { "This rig states no power: no battery, consumer or cable stands in its file." },
                    Some((chart, said)) => {
                        @if let Some(chart) = &chart { (figure(chart)) }
                        @else { p { "There is no day to draw: state " code { "hours" } " under [power], and " code { "charged" } " of each battery." } }
                        (words("The power plan in words", &said?))
                    }
                }
            }
        })
    })
    .await
}
