UPDATE identity.user_account SET language = 'es' WHERE id = app.current_tenant();
