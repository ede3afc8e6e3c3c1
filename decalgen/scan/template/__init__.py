"""A panel from its template: its edges rubbed with a pencil through masking tape, or a photo of it; a card beside."""
