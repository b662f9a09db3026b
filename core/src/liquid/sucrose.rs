//! Sucrose and water by ICUMSA SPS-4.
