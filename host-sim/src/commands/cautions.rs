//! What is told with every answer about a drink.

/// One a line, none longer than 80 columns.
pub const CAUTIONS: [&str; 4] = [
    "Not approved for trade: local law may require stamped measures.",
    "Volume, strength, sugar and alcohol are estimates.",
    "Allergens and raw egg are as the sheet's author wrote them; the house answers.",
    "Serve within the law and the house's licence.",
];
