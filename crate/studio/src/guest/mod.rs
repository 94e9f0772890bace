//! What a client sees on a device of her own: the design without her photo,
//! what she is asked, and the way back for her answer.
