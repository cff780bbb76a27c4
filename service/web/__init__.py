"""The web: routes, negotiation, problems, the docs page. With `service.app` the only place that knows the framework."""
