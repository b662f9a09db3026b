//! Every page of the panel as a picture.
