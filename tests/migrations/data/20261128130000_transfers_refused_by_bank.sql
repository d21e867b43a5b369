UPDATE payment_run_transfer SET refused_because = 'account-closed'
 WHERE tenant_id = app.current_tenant() AND id = '01890000-0000-7000-8000-000000000731';
