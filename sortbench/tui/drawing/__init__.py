"""From frozen figures to rows of text: pure, so that every panel can be tested without a screen."""
