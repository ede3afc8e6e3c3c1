"""A panel from its template: pencil rubbed along its edges through masking tape, or a photo of it, with a card beside."""
