//! An entry of the day book.

use jiff::Timestamp;
use jiff::civil::{Date, DateTime};
use serde::{Deserialize, Serialize};
use uuid::Uuid;

use crate::payload::{FieldId, Payload};

/// One entry. It is never changed; a later entry may replace it.
///
/// `happened` is the farm's wall clock, as the person would say it; `written` is an instant, so that "what did we
/// know then" has one answer whatever the clocks of phones do.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(from = "Wire", into = "Wire")]
pub struct Entry {
    /// Made where the entry was written, so that sending it twice is harmless.
    pub id: Uuid,
    /// When it happened, by the farm's clock.
    pub happened: DateTime,
    /// When it was written.
    pub written: Timestamp,
    /// Who wrote it.
    pub who: String,
    /// The entry this one corrects or takes back.
    pub replaces: Option<Uuid>,
    /// What it says.
    pub body: Body,
}

/// What an entry says.
#[derive(Debug, Clone, PartialEq)]
#[allow(clippy::large_enum_variant)] // nearly all are known payloads
pub enum Body {
    /// Of a kind known here.
    Known(Payload),
    /// Of a kind, or with fields, from a newer version: kept as it came and reported.
    Unknown {
        /// Its kind.
        kind: String,
        /// Its data as it came.
        data: serde_json::Value,
    },
}

impl Body {
    /// Reads a body; whatever this version cannot read in full becomes [`Body::Unknown`].
    pub fn read(kind: &str, data: serde_json::Value) -> Self {
        match Payload::read(kind, &data) {
            Some(Ok(payload)) => Self::Known(payload),
            _ => Self::Unknown { kind: kind.into(), data },
        }
    }

    /// As [`Body::read`], from JSON text.
    ///
    /// # Errors
    /// When the text is not JSON.
    pub fn read_text(kind: &str, data: &str) -> serde_json::Result<Self> {
        let mut reader = serde_json::Deserializer::from_str(data);
        if let Some(Ok(payload)) = Payload::read(kind, &mut reader)
            && reader.end().is_ok()
        {
            return Ok(Self::Known(payload));
        }
        Ok(Self::Unknown { kind: kind.into(), data: serde_json::from_str(data)? })
    }

    /// The kind's key.
    pub fn kind(&self) -> &str {
        match self {
            Self::Known(payload) => payload.kind(),
            Self::Unknown { kind, .. } => kind,
        }
    }

    /// The data as JSON text.
    ///
    /// # Errors
    /// When a value has no JSON form.
    pub fn data_text(&self) -> serde_json::Result<String> {
        match self {
            Self::Known(payload) => payload.data_text(),
            Self::Unknown { data, .. } => serde_json::to_string(data),
        }
    }

    /// The payload, when known here.
    pub fn payload(&self) -> Option<&Payload> {
        match self {
            Self::Known(payload) => Some(payload),
            Self::Unknown { .. } => None,
        }
    }
}

impl Entry {
    /// A new entry, written now, with a new id.
    pub fn new(happened: DateTime, who: impl Into<String>, payload: impl Into<Payload>) -> Self {
        Self {
            id: Uuid::now_v7(),
            happened,
            written: Timestamp::now(),
            who: who.into(),
            replaces: None,
            body: Body::Known(payload.into()),
        }
    }

    /// The same entry as a correction of `earlier`.
    #[must_use]
    pub fn replacing(mut self, earlier: Uuid) -> Self {
        self.replaces = Some(earlier);
        self
    }

    /// The day it happened.
    pub fn on(&self) -> Date {
        self.happened.date()
    }

    /// The payload, when known here.
    pub fn payload(&self) -> Option<&Payload> {
        self.body.payload()
    }

    /// The field it is about, if any.
    pub fn field(&self) -> Option<&FieldId> {
        self.payload().and_then(Payload::field)
    }
}

/// The flat form in JSON.
#[derive(Serialize, Deserialize)]
struct Wire {
    id: Uuid,
    happened: DateTime,
    written: Timestamp,
    who: String,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    replaces: Option<Uuid>,
    kind: String,
    data: serde_json::Value,
}

impl From<Wire> for Entry {
    fn from(w: Wire) -> Self {
        let body = Body::read(&w.kind, w.data);
        Self { id: w.id, happened: w.happened, written: w.written, who: w.who, replaces: w.replaces, body }
    }
}

impl From<Entry> for Wire {
    fn from(e: Entry) -> Self {
        let kind = e.body.kind().to_owned();
        let data = match e.body {
            // Payloads hold text, numbers and lists only, which always have a JSON form.
            Body::Known(payload) => payload.data().unwrap_or_default(),
            Body::Unknown { data, .. } => data,
        };
        Self {
            id: e.id,
            happened: e.happened,
            written: e.written,
            who: e.who,
            replaces: e.replaces,
            kind,
            data,
        }
    }
}
