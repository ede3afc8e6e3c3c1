"""What the user owns and keeps between jobs: sheets of film, printer profiles."""
