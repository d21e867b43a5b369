UPDATE identity.user_account SET language = 'de' WHERE id = app.current_tenant();
