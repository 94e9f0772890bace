//! The stencil sheet's composition.

use crate::{Sheet, SheetContent, SheetError};

pub(crate) fn stencil(content: &SheetContent) -> Result<Sheet, SheetError> {
    Ok(Sheet {
        id: "sheet",
        title: "Brow stencil".to_owned(),
        paper: content.paper,
        placing: None,
        groups: vec![],
    })
}
