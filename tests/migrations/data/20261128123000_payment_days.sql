UPDATE operator SET payment_days = 14 WHERE tenant_id = app.current_tenant();
