"""What readings say of a studio: files of readings → how bright its lamps and how light its walls are."""
