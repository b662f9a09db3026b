//! Ethanol and water by OIML R 22.
