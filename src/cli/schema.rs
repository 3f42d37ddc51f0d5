//! `schema`: the JSON Schema of a set file, or of what is written for programs.

use super::arguments::Described;
use super::{Failure, print};
use crate::report::documents::Document;
use crate::set;

pub(super) fn schema(described: Described) -> Result<(), Failure> {
    let schema = match described {
        Described::Set => set::schema(),
        Described::Fit => Document::Fit.schema(),
        Described::Marks => Document::Marks.schema(),
        Described::Compare => Document::Compare.schema(),
        Described::Plan => Document::Plan.schema(),
        Described::Verify => Document::Verify.schema(),
        Described::Check => Document::Check.schema(),
    };
    print(&format!("{schema:#}\n"))
}
