//! The first screen: finding, backing up, erasing clients.
