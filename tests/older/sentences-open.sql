BEGIN TRANSACTION;
CREATE TABLE book (
	id TEXT NOT NULL, 
	made_at INTEGER NOT NULL, 
	seal TEXT NOT NULL, 
	PRIMARY KEY (id)
)
 STRICT

;
INSERT INTO "book" VALUES('2ffb7dec-2f4c-4bb4-8378-c3d31eec9d04',1795937043856907,'49d6b55fc250d27aa239f5bee7cf0356f696caacbe56a6da5cba49b362a692e6');
CREATE TABLE car_record (
	num INTEGER NOT NULL, 
	car TEXT NOT NULL, 
	visit TEXT NOT NULL, 
	at INTEGER NOT NULL, 
	offset_min INTEGER NOT NULL, 
	what TEXT NOT NULL, 
	body TEXT NOT NULL, 
	entry INTEGER NOT NULL, 
	PRIMARY KEY (num), 
	FOREIGN KEY(entry) REFERENCES entry (num)
)
 STRICT

;
CREATE TABLE door_key (
	digest TEXT NOT NULL, 
	made_at INTEGER NOT NULL, 
	until INTEGER NOT NULL, 
	used_at INTEGER, 
	goes_to TEXT NOT NULL, 
	PRIMARY KEY (digest)
)
 STRICT

;
CREATE TABLE entry (
	num INTEGER NOT NULL, 
	at INTEGER NOT NULL, 
	offset_min INTEGER NOT NULL, 
	person TEXT NOT NULL, 
	via TEXT NOT NULL, 
	what TEXT NOT NULL, 
	client TEXT, 
	PRIMARY KEY (num), 
	UNIQUE (client)
)
 STRICT

;
INSERT INTO "entry" VALUES(1,1795937044086296,0,'','command','an empty book',NULL);
INSERT INTO "entry" VALUES(2,1795604400000000,60,'','command','garage file household.toml',NULL);
INSERT INTO "entry" VALUES(3,1795604400000000,60,'','plan','fresh IDs set aside',NULL);
INSERT INTO "entry" VALUES(4,1795604400000000,60,'','page','job begun: Winter set goes on Estate, 2026-11-28; Summer set comes off',NULL);
INSERT INTO "entry" VALUES(5,1795604400000000,60,'Ada','page','evidence of job 87061bd15cb31abb',NULL);
INSERT INTO "entry" VALUES(6,1795604400000000,60,'Ben','page','evidence of job 87061bd15cb31abb',NULL);
CREATE TABLE event (
	num INTEGER NOT NULL, 
	entry INTEGER NOT NULL, 
	at INTEGER NOT NULL, 
	offset_min INTEGER NOT NULL, 
	kind TEXT NOT NULL, 
	wheel INTEGER, 
	sensor INTEGER, 
	tyre INTEGER, 
	rim INTEGER, 
	car INTEGER, 
	"set" INTEGER, 
	corner TEXT, 
	hex TEXT, 
	job TEXT, 
	body TEXT NOT NULL, 
	PRIMARY KEY (num), 
	FOREIGN KEY(entry) REFERENCES entry (num), 
	FOREIGN KEY(wheel) REFERENCES thing (num), 
	FOREIGN KEY(sensor) REFERENCES thing (num), 
	FOREIGN KEY(tyre) REFERENCES thing (num), 
	FOREIGN KEY(rim) REFERENCES thing (num), 
	FOREIGN KEY(car) REFERENCES thing (num), 
	FOREIGN KEY("set") REFERENCES thing (num), 
	FOREIGN KEY(job) REFERENCES job (id)
)
 STRICT

;
INSERT INTO "event" VALUES(1,2,1795604400000000,60,'joined',1,2,3,4,NULL,NULL,NULL,NULL,NULL,'{}');
INSERT INTO "event" VALUES(2,2,1795604400000000,60,'joined',5,6,7,8,NULL,NULL,NULL,NULL,NULL,'{}');
INSERT INTO "event" VALUES(3,2,1795604400000000,60,'joined',9,10,11,12,NULL,NULL,NULL,NULL,NULL,'{}');
INSERT INTO "event" VALUES(4,2,1795604400000000,60,'joined',13,14,15,16,NULL,NULL,NULL,NULL,NULL,'{}');
INSERT INTO "event" VALUES(5,2,1795604400000000,60,'joined',17,18,19,20,NULL,NULL,NULL,NULL,NULL,'{}');
INSERT INTO "event" VALUES(6,2,1795604400000000,60,'joined',21,22,23,24,NULL,NULL,NULL,NULL,NULL,'{}');
INSERT INTO "event" VALUES(7,2,1795604400000000,60,'joined',25,26,27,28,NULL,NULL,NULL,NULL,NULL,'{}');
INSERT INTO "event" VALUES(8,2,1795604400000000,60,'joined',29,30,31,32,NULL,NULL,NULL,NULL,NULL,'{}');
INSERT INTO "event" VALUES(9,2,1795604400000000,60,'joined',33,34,35,NULL,NULL,NULL,NULL,NULL,NULL,'{}');
INSERT INTO "event" VALUES(10,2,1795604400000000,60,'joined',36,37,38,NULL,NULL,NULL,NULL,NULL,NULL,'{}');
INSERT INTO "event" VALUES(11,2,1795604400000000,60,'joined',39,40,41,NULL,NULL,NULL,NULL,NULL,NULL,'{}');
INSERT INTO "event" VALUES(12,2,1795604400000000,60,'joined',42,43,44,NULL,NULL,NULL,NULL,NULL,NULL,'{}');
INSERT INTO "event" VALUES(13,5,1795606200000000,60,'ID state',17,18,NULL,NULL,NULL,NULL,NULL,'70D610FE','87061bd15cb31abb','{"state": "heard", "said": "70D610FE"}');
INSERT INTO "event" VALUES(14,5,1795606800000000,60,'ID state',21,22,NULL,NULL,NULL,NULL,NULL,'70D613F3','87061bd15cb31abb','{"state": "heard", "said": "70D613F3"}');
INSERT INTO "event" VALUES(15,5,1795607400000000,60,'ID state',25,NULL,NULL,NULL,NULL,NULL,NULL,'2C41A7F','87061bd15cb31abb','{"state": "heard", "said": "2C41A7F"}');
INSERT INTO "event" VALUES(16,5,1795608000000000,60,'ID state',29,NULL,NULL,NULL,NULL,NULL,NULL,'70D60E46','87061bd15cb31abb','{"state": "heard", "said": "70D60E46"}');
INSERT INTO "event" VALUES(17,5,1795609200000000,60,'ID state',25,NULL,NULL,NULL,NULL,NULL,NULL,'8C0B1F52','87061bd15cb31abb','{"state": "written", "said": "yes"}');
INSERT INTO "event" VALUES(18,5,1795609800000000,60,'ID state',25,NULL,NULL,NULL,NULL,NULL,NULL,'8C0B1F52','87061bd15cb31abb','{"state": "read back", "said": "8C0B1F52"}');
INSERT INTO "event" VALUES(19,5,1795610400000000,60,'ID state',29,NULL,NULL,NULL,NULL,NULL,NULL,'F5BD3639','87061bd15cb31abb','{"state": "written", "said": "yes"}');
INSERT INTO "event" VALUES(20,5,1795611000000000,60,'ID state',29,NULL,NULL,NULL,NULL,NULL,NULL,'F5BD3639','87061bd15cb31abb','{"state": "read back", "said": "F5BD3639"}');
INSERT INTO "event" VALUES(21,5,1795611600000000,60,'ID state',25,NULL,NULL,NULL,NULL,NULL,NULL,'8C0B1F52','87061bd15cb31abb','{"state": "read back", "said": "8C0B1F52"}');
INSERT INTO "event" VALUES(22,5,1795611600000000,60,'ID state',29,NULL,NULL,NULL,NULL,NULL,NULL,'F5BD3639','87061bd15cb31abb','{"state": "read back", "said": "F5BD3639"}');
INSERT INTO "event" VALUES(23,5,1795612800000000,60,'taken off',1,NULL,NULL,NULL,45,46,NULL,NULL,'87061bd15cb31abb','{}');
INSERT INTO "event" VALUES(24,5,1795612800000000,60,'fitted',17,NULL,NULL,NULL,45,47,'front left',NULL,'87061bd15cb31abb','{}');
INSERT INTO "event" VALUES(25,5,1795613400000000,60,'taken off',5,NULL,NULL,NULL,45,46,NULL,NULL,'87061bd15cb31abb','{}');
INSERT INTO "event" VALUES(26,5,1795613400000000,60,'fitted',21,NULL,NULL,NULL,45,47,'front right',NULL,'87061bd15cb31abb','{}');
INSERT INTO "event" VALUES(27,5,1795614000000000,60,'taken off',9,NULL,NULL,NULL,45,46,NULL,NULL,'87061bd15cb31abb','{}');
INSERT INTO "event" VALUES(28,5,1795614000000000,60,'fitted',25,NULL,NULL,NULL,45,47,'rear left',NULL,'87061bd15cb31abb','{}');
INSERT INTO "event" VALUES(29,5,1795614600000000,60,'taken off',13,NULL,NULL,NULL,45,46,NULL,NULL,'87061bd15cb31abb','{}');
INSERT INTO "event" VALUES(30,5,1795614600000000,60,'fitted',29,NULL,NULL,NULL,45,47,'rear right',NULL,'87061bd15cb31abb','{}');
INSERT INTO "event" VALUES(31,5,1795618800000000,60,'ID state',17,18,NULL,NULL,NULL,NULL,NULL,'70D610FE','87061bd15cb31abb','{"state": "heard", "said": "70D610FE"}');
INSERT INTO "event" VALUES(32,5,1795620000000000,60,'ID state',25,NULL,NULL,NULL,NULL,NULL,NULL,'8C0B1F52','87061bd15cb31abb','{"state": "heard", "said": "8C0B1F52"}');
INSERT INTO "event" VALUES(33,5,1795620600000000,60,'ID state',29,NULL,NULL,NULL,NULL,NULL,NULL,'F5BD3639','87061bd15cb31abb','{"state": "heard", "said": "F5BD3639"}');
INSERT INTO "event" VALUES(34,5,1795623600000000,60,'ID state',17,18,NULL,NULL,NULL,NULL,NULL,'70D610FE','87061bd15cb31abb','{"state": "known to the car", "said": "yes"}');
INSERT INTO "event" VALUES(35,5,1795623600000000,60,'ID state',17,18,NULL,NULL,NULL,NULL,NULL,'70D610FE','87061bd15cb31abb','{"state": "heard", "said": "70D610FE"}');
INSERT INTO "event" VALUES(36,5,1795624200000000,60,'ID state',21,22,NULL,NULL,NULL,NULL,NULL,'70D613F3','87061bd15cb31abb','{"state": "known to the car", "said": "yes"}');
INSERT INTO "event" VALUES(37,5,1795624200000000,60,'ID state',21,22,NULL,NULL,NULL,NULL,NULL,'70D613F3','87061bd15cb31abb','{"state": "heard", "said": "70D613F3"}');
INSERT INTO "event" VALUES(38,5,1795624800000000,60,'ID state',29,NULL,NULL,NULL,NULL,NULL,NULL,'F5BD3639','87061bd15cb31abb','{"state": "known to the car", "said": "yes"}');
INSERT INTO "event" VALUES(39,5,1795624800000000,60,'ID state',29,NULL,NULL,NULL,NULL,NULL,NULL,'F5BD3639','87061bd15cb31abb','{"state": "heard", "said": "F5BD3639"}');
INSERT INTO "event" VALUES(40,5,1795625400000000,60,'ID state',25,NULL,NULL,NULL,NULL,NULL,NULL,'8C0B1F52','87061bd15cb31abb','{"state": "known to the car", "said": "yes"}');
INSERT INTO "event" VALUES(41,5,1795625400000000,60,'ID state',25,NULL,NULL,NULL,NULL,NULL,NULL,'8C0B1F52','87061bd15cb31abb','{"state": "heard", "said": "8C0B1F52"}');
CREATE TABLE evidence (
	num INTEGER NOT NULL, 
	client TEXT NOT NULL, 
	entry INTEGER NOT NULL, 
	job TEXT NOT NULL, 
	step TEXT NOT NULL, 
	kind TEXT NOT NULL, 
	at INTEGER NOT NULL, 
	spread_s REAL NOT NULL, 
	offset_min INTEGER NOT NULL, 
	person TEXT NOT NULL, 
	device TEXT NOT NULL, 
	seen INTEGER NOT NULL, 
	body TEXT NOT NULL, 
	PRIMARY KEY (num), 
	UNIQUE (client), 
	FOREIGN KEY(entry) REFERENCES entry (num), 
	FOREIGN KEY(job) REFERENCES job (id)
)
 STRICT

;
INSERT INTO "evidence" VALUES(1,'client-0000',5,'87061bd15cb31abb','snapshot','done',1795604400000000,0.0,60,'Ada','phone',1000000000,'{"answers": [{"ask": "lamp", "said": "never lights", "words": "", "photo": ""}, {"ask": "out-after", "said": "", "words": "", "photo": ""}, {"ask": "odometer", "said": "noted", "words": "", "photo": ""}, {"ask": "photo", "said": "", "words": "", "photo": ""}], "reason": "", "keep": "", "instrument": ""}');
INSERT INTO "evidence" VALUES(2,'client-0001',5,'87061bd15cb31abb','codes-before','done',1795605000000000,600.0,60,'Ada','phone',1000000000,'{"answers": [{"ask": "codes", "said": "some", "words": "", "photo": ""}], "reason": "", "keep": "", "instrument": ""}');
INSERT INTO "evidence" VALUES(3,'client-0002',5,'87061bd15cb31abb','pressures-before','done',1795605600000000,1200.0,60,'Ada','phone',1000000000,'{"answers": [{"ask": "pressure-s1", "said": "2.40", "words": "", "photo": ""}, {"ask": "pressure-s2", "said": "2.40", "words": "", "photo": ""}, {"ask": "pressure-s3", "said": "2.40", "words": "", "photo": ""}, {"ask": "pressure-s4", "said": "2.40", "words": "", "photo": ""}, {"ask": "temperature", "said": "17", "words": "", "photo": ""}], "reason": "", "keep": "", "instrument": ""}');
INSERT INTO "evidence" VALUES(4,'client-0003',5,'87061bd15cb31abb','answer-w1','done',1795606200000000,1800.0,60,'Ada','phone',1000000000,'{"answers": [{"ask": "id-w1", "said": "70D610FE", "words": "", "photo": ""}, {"ask": "battery", "said": "good", "words": "", "photo": ""}], "reason": "", "keep": "", "instrument": ""}');
INSERT INTO "evidence" VALUES(5,'client-0004',5,'87061bd15cb31abb','answer-w2','done',1795606800000000,2400.0,60,'Ada','phone',1000000000,'{"answers": [{"ask": "id-w2", "said": "70D613F3", "words": "", "photo": ""}, {"ask": "battery", "said": "good", "words": "", "photo": ""}], "reason": "", "keep": "", "instrument": ""}');
INSERT INTO "evidence" VALUES(6,'client-0005',5,'87061bd15cb31abb','answer-w3','done',1795607400000000,3000.0,60,'Ada','phone',1000000000,'{"answers": [{"ask": "id-w3", "said": "2C41A7F", "words": "", "photo": ""}, {"ask": "battery", "said": "good", "words": "", "photo": ""}], "reason": "", "keep": "", "instrument": ""}');
INSERT INTO "evidence" VALUES(7,'client-0006',5,'87061bd15cb31abb','answer-w4','done',1795608000000000,3600.0,60,'Ada','phone',1000000000,'{"answers": [{"ask": "id-w4", "said": "70D60E46", "words": "", "photo": ""}, {"ask": "battery", "said": "good", "words": "", "photo": ""}], "reason": "", "keep": "", "instrument": ""}');
INSERT INTO "evidence" VALUES(8,'client-0007',5,'87061bd15cb31abb','parts','done',1795608600000000,4200.0,60,'Ada','phone',1000000000,'{"answers": [{"ask": "done", "said": "yes", "words": "", "photo": ""}], "reason": "", "keep": "", "instrument": ""}');
INSERT INTO "evidence" VALUES(9,'client-0008',5,'87061bd15cb31abb','write-w3','done',1795609200000000,4800.0,60,'Ada','phone',1000000000,'{"answers": [{"ask": "written", "said": "yes", "words": "", "photo": ""}], "reason": "", "keep": "", "instrument": ""}');
INSERT INTO "evidence" VALUES(10,'client-0009',5,'87061bd15cb31abb','read-back-w3','done',1795609800000000,5400.0,60,'Ada','phone',1000000000,'{"answers": [{"ask": "id-w3", "said": "8C0B1F52", "words": "", "photo": ""}, {"ask": "photo", "said": "", "words": "", "photo": ""}], "reason": "", "keep": "", "instrument": ""}');
INSERT INTO "evidence" VALUES(11,'client-0010',5,'87061bd15cb31abb','write-w4','done',1795610400000000,6000.0,60,'Ada','phone',1000000000,'{"answers": [{"ask": "written", "said": "yes", "words": "", "photo": ""}], "reason": "", "keep": "", "instrument": ""}');
INSERT INTO "evidence" VALUES(12,'client-0011',5,'87061bd15cb31abb','read-back-w4','done',1795611000000000,6600.0,60,'Ada','phone',1000000000,'{"answers": [{"ask": "id-w4", "said": "F5BD3639", "words": "", "photo": ""}, {"ask": "photo", "said": "", "words": "", "photo": ""}], "reason": "", "keep": "", "instrument": ""}');
INSERT INTO "evidence" VALUES(13,'client-0012',5,'87061bd15cb31abb','shop','done',1795611600000000,7200.0,60,'Ada','phone',1000000000,'{"answers": [{"ask": "id-w3", "said": "8C0B1F52", "words": "", "photo": ""}, {"ask": "id-w4", "said": "F5BD3639", "words": "", "photo": ""}, {"ask": "bubbles", "said": "no bubbles", "words": "", "photo": ""}], "reason": "", "keep": "", "instrument": ""}');
INSERT INTO "evidence" VALUES(14,'client-0013',5,'87061bd15cb31abb','label','skipped',1795612200000000,7800.0,60,'Ada','phone',1000000000,'{"answers": [], "reason": "tags are on", "keep": "", "instrument": ""}');
INSERT INTO "evidence" VALUES(15,'client-0014',5,'87061bd15cb31abb','fit-w1','done',1795612800000000,8400.0,60,'Ada','phone',1000000000,'{"answers": [{"ask": "done", "said": "yes", "words": "", "photo": ""}], "reason": "", "keep": "", "instrument": ""}');
INSERT INTO "evidence" VALUES(16,'client-0015',5,'87061bd15cb31abb','fit-w2','done',1795613400000000,9000.0,60,'Ada','phone',1000000000,'{"answers": [{"ask": "done", "said": "yes", "words": "", "photo": ""}], "reason": "", "keep": "", "instrument": ""}');
INSERT INTO "evidence" VALUES(17,'client-0016',5,'87061bd15cb31abb','fit-w3','done',1795614000000000,9600.0,60,'Ada','phone',1000000000,'{"answers": [{"ask": "done", "said": "yes", "words": "", "photo": ""}], "reason": "", "keep": "", "instrument": ""}');
INSERT INTO "evidence" VALUES(18,'client-0017',5,'87061bd15cb31abb','fit-w4','done',1795614600000000,10200.0,60,'Ada','phone',1000000000,'{"answers": [{"ask": "done", "said": "yes", "words": "", "photo": ""}], "reason": "", "keep": "", "instrument": ""}');
INSERT INTO "evidence" VALUES(19,'client-0018',5,'87061bd15cb31abb','torque','done',1795615200000000,10800.0,60,'Ada','phone',1000000000,'{"answers": [{"ask": "done", "said": "yes", "words": "", "photo": ""}, {"ask": "photo", "said": "", "words": "", "photo": ""}], "reason": "", "keep": "", "instrument": ""}');
INSERT INTO "evidence" VALUES(20,'client-0019',5,'87061bd15cb31abb','carry-away','done',1795615800000000,11400.0,60,'Ada','phone',1000000000,'{"answers": [{"ask": "done", "said": "yes", "words": "", "photo": ""}], "reason": "", "keep": "", "instrument": ""}');
INSERT INTO "evidence" VALUES(21,'client-0020',5,'87061bd15cb31abb','air-w1','done',1795616400000000,12000.0,60,'Ada','phone',1000000000,'{"answers": [{"ask": "temperature", "said": "17.00 °C", "words": "", "photo": ""}, {"ask": "pressure-w1", "said": "2.67", "words": "", "photo": ""}], "reason": "", "keep": "", "instrument": ""}');
INSERT INTO "evidence" VALUES(22,'client-0021',5,'87061bd15cb31abb','air-w2','done',1795617000000000,12600.0,60,'Ada','phone',1000000000,'{"answers": [{"ask": "temperature", "said": "17.00 °C", "words": "", "photo": ""}, {"ask": "pressure-w2", "said": "2.1", "words": "", "photo": ""}], "reason": "", "keep": "", "instrument": ""}');
INSERT INTO "evidence" VALUES(23,'client-0022',5,'87061bd15cb31abb','air-w3','done',1795617600000000,13200.0,60,'Ada','phone',1000000000,'{"answers": [{"ask": "temperature", "said": "17.00 °C", "words": "", "photo": ""}, {"ask": "pressure-w3", "said": "low", "words": "", "photo": ""}], "reason": "", "keep": "", "instrument": ""}');
INSERT INTO "evidence" VALUES(24,'client-0023',5,'87061bd15cb31abb','air-w4','done',1795618200000000,13800.0,60,'Ada','phone',1000000000,'{"answers": [{"ask": "temperature", "said": "17.00 °C", "words": "", "photo": ""}, {"ask": "pressure-w4", "said": "2.56", "words": "", "photo": ""}], "reason": "", "keep": "", "instrument": ""}');
INSERT INTO "evidence" VALUES(25,'client-0024',5,'87061bd15cb31abb','wake-w1','done',1795618800000000,14400.0,60,'Ada','phone',1000000000,'{"answers": [{"ask": "id-w1", "said": "70D610FE", "words": "", "photo": ""}], "reason": "", "keep": "", "instrument": ""}');
INSERT INTO "evidence" VALUES(26,'client-0025',5,'87061bd15cb31abb','wake-w2','done',1795619400000000,15000.0,60,'Ada','phone',1000000000,'{"answers": [{"ask": "id-w2", "said": "no answer within two minutes", "words": "", "photo": ""}], "reason": "", "keep": "", "instrument": ""}');
INSERT INTO "evidence" VALUES(27,'client-0026',5,'87061bd15cb31abb','wake-w3','done',1795620000000000,15600.0,60,'Ada','phone',1000000000,'{"answers": [{"ask": "id-w3", "said": "8C0B1F52", "words": "", "photo": ""}], "reason": "", "keep": "", "instrument": ""}');
INSERT INTO "evidence" VALUES(28,'client-0027',5,'87061bd15cb31abb','wake-w4','done',1795620600000000,16200.0,60,'Ada','phone',1000000000,'{"answers": [{"ask": "id-w4", "said": "F5BD3639", "words": "", "photo": ""}], "reason": "", "keep": "", "instrument": ""}');
INSERT INTO "evidence" VALUES(29,'client-0028',5,'87061bd15cb31abb','choose-list','done',1795621200000000,16800.0,60,'Ada','phone',1000000000,'{"answers": [{"ask": "list", "said": "empty-list", "words": "", "photo": ""}], "reason": "", "keep": "", "instrument": ""}');
INSERT INTO "evidence" VALUES(30,'client-0029',5,'87061bd15cb31abb','clear-the-air','done',1795621800000000,17400.0,60,'Ada','phone',1000000000,'{"answers": [{"ask": "done", "said": "yes", "words": "", "photo": ""}], "reason": "", "keep": "", "instrument": ""}');
INSERT INTO "evidence" VALUES(31,'client-0030',5,'87061bd15cb31abb','rest','done',1795622400000000,18000.0,60,'Ada','phone',1000000000,'{"answers": [{"ask": "done", "said": "yes", "words": "", "photo": ""}], "reason": "", "keep": "", "instrument": ""}');
INSERT INTO "evidence" VALUES(32,'client-0031',5,'87061bd15cb31abb','teach-begin','done',1795623000000000,18600.0,60,'Ada','phone',1000000000,'{"answers": [{"ask": "confirms", "said": "yes", "words": "", "photo": ""}], "reason": "", "keep": "", "instrument": ""}');
INSERT INTO "evidence" VALUES(33,'client-0032',5,'87061bd15cb31abb','teach-w1','done',1795623600000000,19200.0,60,'Ada','phone',1000000000,'{"answers": [{"ask": "confirms", "said": "yes", "words": "", "photo": ""}, {"ask": "id-w1", "said": "70D610FE", "words": "", "photo": ""}], "reason": "", "keep": "", "instrument": ""}');
INSERT INTO "evidence" VALUES(34,'client-0033',5,'87061bd15cb31abb','teach-w2','done',1795624200000000,19800.0,60,'Ada','phone',1000000000,'{"answers": [{"ask": "confirms", "said": "yes", "words": "", "photo": ""}, {"ask": "id-w2", "said": "70D613F3", "words": "", "photo": ""}], "reason": "", "keep": "", "instrument": ""}');
INSERT INTO "evidence" VALUES(35,'client-0034',5,'87061bd15cb31abb','teach-w4','done',1795624800000000,20400.0,60,'Ada','phone',1000000000,'{"answers": [{"ask": "confirms", "said": "yes", "words": "", "photo": ""}, {"ask": "id-w4", "said": "F5BD3639", "words": "", "photo": ""}], "reason": "", "keep": "", "instrument": ""}');
INSERT INTO "evidence" VALUES(36,'client-0035',5,'87061bd15cb31abb','teach-w3','done',1795625400000000,21000.0,60,'Ada','phone',1000000000,'{"answers": [{"ask": "confirms", "said": "yes", "words": "", "photo": ""}, {"ask": "id-w3", "said": "8C0B1F52", "words": "", "photo": ""}], "reason": "", "keep": "", "instrument": ""}');
INSERT INTO "evidence" VALUES(37,'client-0036',5,'87061bd15cb31abb','drive','done',1795626000000000,21600.0,60,'Ada','phone',1000000000,'{"answers": [{"ask": "minutes", "said": "20", "words": "", "photo": ""}, {"ask": "lamp", "said": "stays-off", "words": "", "photo": ""}, {"ask": "out-after", "said": "", "words": "", "photo": ""}], "reason": "", "keep": "", "instrument": ""}');
INSERT INTO "evidence" VALUES(38,'client-0037',5,'87061bd15cb31abb','second-start','done',1795626600000000,22200.0,60,'Ada','phone',1000000000,'{"answers": [{"ask": "lamp", "said": "lights, then goes out", "words": "", "photo": ""}, {"ask": "out-after", "said": "", "words": "", "photo": ""}, {"ask": "photo", "said": "", "words": "", "photo": ""}], "reason": "", "keep": "", "instrument": ""}');
INSERT INTO "evidence" VALUES(39,'client-0038',5,'87061bd15cb31abb','codes-after','done',1795627200000000,22800.0,60,'Ada','phone',1000000000,'{"answers": [{"ask": "codes", "said": "none", "words": "", "photo": ""}, {"ask": "lamp", "said": "not told", "words": "", "photo": ""}], "reason": "", "keep": "", "instrument": ""}');
INSERT INTO "evidence" VALUES(40,'client-0039',5,'87061bd15cb31abb','ids-heard','done',1795627800000000,23400.0,60,'Ada','phone',1000000000,'{"answers": [{"ask": "list", "said": "just these, heard by a receiver", "words": "", "photo": ""}], "reason": "", "keep": "", "instrument": ""}');
INSERT INTO "evidence" VALUES(41,'client-0040',5,'87061bd15cb31abb','corner-w1','done',1795628400000000,24000.0,60,'Ada','phone',1000000000,'{"answers": [{"ask": "pressure-w1", "said": "2.40", "words": "", "photo": ""}, {"ask": "moved", "said": "front left", "words": "", "photo": ""}], "reason": "", "keep": "", "instrument": ""}');
INSERT INTO "evidence" VALUES(42,'client-0041',5,'87061bd15cb31abb','corner-back-w1','done',1795629000000000,24600.0,60,'Ada','phone',1000000000,'{"answers": [{"ask": "pressure-w1", "said": "2.40", "words": "", "photo": ""}], "reason": "", "keep": "", "instrument": ""}');
INSERT INTO "evidence" VALUES(43,'client-0042',5,'87061bd15cb31abb','corner-w2','done',1795629600000000,25200.0,60,'Ada','phone',1000000000,'{"answers": [{"ask": "pressure-w2", "said": "2.40", "words": "", "photo": ""}, {"ask": "moved", "said": "front right", "words": "", "photo": ""}], "reason": "", "keep": "", "instrument": ""}');
INSERT INTO "evidence" VALUES(44,'client-0043',5,'87061bd15cb31abb','corner-back-w2','done',1795630200000000,25800.0,60,'Ada','phone',1000000000,'{"answers": [{"ask": "pressure-w2", "said": "2.40", "words": "", "photo": ""}], "reason": "", "keep": "", "instrument": ""}');
INSERT INTO "evidence" VALUES(45,'client-0044',5,'87061bd15cb31abb','corner-w3','done',1795630800000000,26400.0,60,'Ada','phone',1000000000,'{"answers": [{"ask": "pressure-w3", "said": "2.40", "words": "", "photo": ""}, {"ask": "moved", "said": "rear left", "words": "", "photo": ""}], "reason": "", "keep": "", "instrument": ""}');
INSERT INTO "evidence" VALUES(46,'client-0045',5,'87061bd15cb31abb','corner-back-w3','done',1795631400000000,27000.0,60,'Ada','phone',1000000000,'{"answers": [{"ask": "pressure-w3", "said": "2.40", "words": "", "photo": ""}], "reason": "", "keep": "", "instrument": ""}');
INSERT INTO "evidence" VALUES(47,'client-0046',5,'87061bd15cb31abb','corner-w4','done',1795632000000000,27600.0,60,'Ada','phone',1000000000,'{"answers": [{"ask": "pressure-w4", "said": "2.40", "words": "", "photo": ""}, {"ask": "moved", "said": "none", "words": "", "photo": ""}], "reason": "", "keep": "", "instrument": ""}');
INSERT INTO "evidence" VALUES(48,'client-0047',5,'87061bd15cb31abb','corner-back-w4','done',1795632600000000,28200.0,60,'Ada','phone',1000000000,'{"answers": [{"ask": "pressure-w4", "said": "2.40", "words": "", "photo": ""}], "reason": "", "keep": "", "instrument": ""}');
INSERT INTO "evidence" VALUES(49,'client-0049',5,'87061bd15cb31abb','retorque','done',1795633800000000,29400.0,60,'Ada','phone',1000000000,'{"answers": [{"ask": "moved", "said": "some moved", "words": "", "photo": ""}], "reason": "", "keep": "", "instrument": ""}');
INSERT INTO "evidence" VALUES(50,'client-0051',5,'87061bd15cb31abb','taken-out','done',1795635000000000,30600.0,60,'Ada','phone',1000000000,'{"answers": [{"ask": "done", "said": "yes", "words": "", "photo": ""}, {"ask": "photo", "said": "", "words": "", "photo": ""}], "reason": "", "keep": "", "instrument": ""}');
INSERT INTO "evidence" VALUES(51,'client-0052',5,'87061bd15cb31abb','record','done',1795635600000000,31200.0,60,'Ada','phone',1000000000,'{"answers": [{"ask": "done", "said": "yes", "words": "", "photo": ""}], "reason": "", "keep": "", "instrument": ""}');
INSERT INTO "evidence" VALUES(52,'client-0053',5,'87061bd15cb31abb','written-wrongly','done',1795636200000000,31800.0,60,'Ada','phone',1000000000,'{"answers": [{"ask": "id-w1", "said": "0x1234ABCD", "words": "", "photo": ""}, {"ask": "id-w2", "said": "0x1234ABCD", "words": "", "photo": ""}, {"ask": "id-w3", "said": "0x1234ABCD", "words": "", "photo": ""}, {"ask": "id-w4", "said": "0x1234ABCD", "words": "", "photo": ""}], "reason": "", "keep": "", "instrument": ""}');
INSERT INTO "evidence" VALUES(53,'client-ben1',6,'87061bd15cb31abb','pressures-before','done',1795605600000000,1200.0,60,'Ben','other',0,'{"answers": [{"ask": "pressure-s1", "said": "1.9", "words": "", "photo": ""}, {"ask": "pressure-s2", "said": "2.40", "words": "", "photo": ""}, {"ask": "pressure-s3", "said": "2.40", "words": "", "photo": ""}, {"ask": "pressure-s4", "said": "2.40", "words": "", "photo": ""}, {"ask": "temperature", "said": "17", "words": "", "photo": ""}], "reason": "", "keep": "", "instrument": ""}');
CREATE TABLE fact (
	num INTEGER NOT NULL, 
	kind TEXT NOT NULL, 
	"key" TEXT NOT NULL, 
	place INTEGER NOT NULL, 
	since INTEGER NOT NULL, 
	until INTEGER, 
	body TEXT NOT NULL, 
	PRIMARY KEY (num), 
	CONSTRAINT fact_once_an_entry UNIQUE (kind, "key", since), 
	FOREIGN KEY(since) REFERENCES entry (num), 
	FOREIGN KEY(until) REFERENCES entry (num)
)
 STRICT

;
INSERT INTO "fact" VALUES(1,'garage','',0,1,2,'{"wheelside": 1}');
INSERT INTO "fact" VALUES(2,'garage','',0,2,NULL,'{"wheelside": 1, "title": "The household at the carport"}');
INSERT INTO "fact" VALUES(3,'units','',0,2,NULL,'{"pressure": "bar"}');
INSERT INTO "fact" VALUES(4,'conditions','',0,2,NULL,'{"tyres": "cold", "tyre_temperature": "17 °C", "tyre_temperature_spread": "2 °C", "temperature_of_use": "-9 °C", "temperature_of_use_spread": "3 °C", "coldest": "-15 °C", "warmest": "12 °C", "next_check": "4 weeks", "load": "normal", "gauge": "gauge"}');
INSERT INTO "fact" VALUES(5,'costs','',0,2,NULL,'{"hour": "18 EUR", "sensor": "42 EUR"}');
INSERT INTO "fact" VALUES(6,'plan','',0,2,NULL,'{"horizon_years": 3, "taken_out": "scrap"}');
INSERT INTO "fact" VALUES(7,'place','carport',0,2,NULL,'{"id": "carport", "label": "Carport", "height": "120 m"}');
INSERT INTO "fact" VALUES(8,'place','shed',1,2,NULL,'{"id": "shed", "label": "Shed"}');
INSERT INTO "fact" VALUES(9,'path','2.0',0,2,NULL,'{"between": ["carport", "shed"], "distance": "6 m", "walls": ["wood"], "heard": "yes", "from": {"heard": "both cars'' sensors were received in the shed, 3 October 2026"}}');
INSERT INTO "fact" VALUES(10,'family','kestrel',0,2,NULL,'{"id": "kestrel", "label": "Kestrel", "band": "433.92 MHz", "bits": 32, "printed": "decimal", "from": {"bits": "handbook of the estate", "printed": "two sensors of ours, triggered and compared"}}');
INSERT INTO "fact" VALUES(11,'family','plover',1,2,NULL,'{"id": "plover", "label": "Plover", "band": "433.92 MHz", "bits": 28, "printed": "hex"}');
INSERT INTO "fact" VALUES(12,'car','estate',0,2,NULL,'{"id": "estate", "label": "Estate", "stands_at": "carport", "monitor": "direct", "standard": "UN R141", "family": "kestrel", "remembers_sets": 2, "spare_counted": false, "corner_aware": true, "taught_by": "step by step", "teach_order": ["front left", "front right", "rear right", "rear left"], "teach_wheel_limit": "2 min", "teach_total_limit": "5 min", "abort_erases": true, "rest_before": "20 min", "drive_for": "15 min", "drive_above": "30 km/h", "dash_shows": true, "dash_offset": "1013 hPa", "warns_at": "25 % below placard", "load_index": 92, "speed_symbol": "V", "torque": "120 Nm", "holds": [{"set": "summer", "as_of": {"$day": "2026-11-02"}}], "from": {"warns_at": "handbook, page on tyre pressures", "torque": "handbook", "holds": "read with the adapter, 2 November 2026"}, "placard": [{"tyre": "205/60 R16 92V", "load": "normal", "front": "2.3 bar", "rear": "2.2 bar"}, {"tyre": "205/60 R16 92V", "load": "full", "front": "2.6 bar", "rear": "2.9 bar"}]}');
INSERT INTO "fact" VALUES(13,'car','runabout',1,2,NULL,'{"id": "runabout", "label": "Runabout", "stands_at": "carport", "monitor": "direct", "family": "kestrel", "spare_counted": false, "corner_aware": false, "taught_by": "driving", "holds": [{"set": "all-year"}], "placard": [{"tyre": "175/65 R15 84T", "load": "normal", "front": "36 psi", "rear": "33 psi"}]}');
INSERT INTO "fact" VALUES(14,'rim','rim S1',0,2,NULL,'{"id": "rim S1", "max_pressure": "4.5 bar"}');
INSERT INTO "fact" VALUES(15,'rim','rim S2',1,2,NULL,'{"id": "rim S2", "max_pressure": "4.5 bar"}');
INSERT INTO "fact" VALUES(16,'rim','rim S3',2,2,NULL,'{"id": "rim S3", "max_pressure": "4.5 bar"}');
INSERT INTO "fact" VALUES(17,'rim','rim S4',3,2,NULL,'{"id": "rim S4", "max_pressure": "4.5 bar"}');
INSERT INTO "fact" VALUES(18,'rim','rim W1',4,2,NULL,'{"id": "rim W1", "max_pressure": "4.0 bar"}');
INSERT INTO "fact" VALUES(19,'rim','rim W2',5,2,NULL,'{"id": "rim W2", "max_pressure": "4.0 bar"}');
INSERT INTO "fact" VALUES(20,'rim','rim W3',6,2,NULL,'{"id": "rim W3", "max_pressure": "4.0 bar"}');
INSERT INTO "fact" VALUES(21,'rim','rim W4',7,2,NULL,'{"id": "rim W4", "max_pressure": "4.0 bar"}');
INSERT INTO "fact" VALUES(22,'tyre','tyre S1',0,2,NULL,'{"id": "tyre S1", "designation": "205/60 R16 92V", "max_pressure": "3.5 bar", "date_code": "1122", "tread": "5 mm"}');
INSERT INTO "fact" VALUES(23,'tyre','tyre S2',1,2,NULL,'{"id": "tyre S2", "designation": "205/60 R16 92V", "max_pressure": "3.5 bar", "date_code": "1122", "tread": "5 mm"}');
INSERT INTO "fact" VALUES(24,'tyre','tyre S3',2,2,NULL,'{"id": "tyre S3", "designation": "205/60 R16 92V", "max_pressure": "3.5 bar", "date_code": "1122", "tread": "5 mm"}');
INSERT INTO "fact" VALUES(25,'tyre','tyre S4',3,2,NULL,'{"id": "tyre S4", "designation": "205/60 R16 92V", "max_pressure": "3.5 bar", "date_code": "1122", "tread": "5 mm"}');
INSERT INTO "fact" VALUES(26,'tyre','tyre W1',4,2,NULL,'{"id": "tyre W1", "designation": "205/60 R16 92H", "max_pressure": "3.5 bar", "date_code": "3519", "tread": "7/32 in", "season": "winter"}');
INSERT INTO "fact" VALUES(27,'tyre','tyre W2',5,2,NULL,'{"id": "tyre W2", "designation": "205/60 R16 92H", "max_pressure": "3.5 bar", "date_code": "3519", "tread": "7/32 in", "season": "winter"}');
INSERT INTO "fact" VALUES(28,'tyre','tyre W3',6,2,NULL,'{"id": "tyre W3", "designation": "205/60 R16 92H", "max_pressure": "3.5 bar", "date_code": "3519", "tread": "7/32 in", "season": "winter"}');
INSERT INTO "fact" VALUES(29,'tyre','tyre W4',7,2,NULL,'{"id": "tyre W4", "designation": "205/60 R16 92H", "max_pressure": "3.5 bar", "date_code": "3519", "tread": "7/32 in", "season": "winter"}');
INSERT INTO "fact" VALUES(30,'tyre','tyre A1',8,2,NULL,'{"id": "tyre A1", "designation": "175/65 R15 84T", "max_pressure": "51 psi"}');
INSERT INTO "fact" VALUES(31,'tyre','tyre A2',9,2,NULL,'{"id": "tyre A2", "designation": "175/65 R15 84T", "max_pressure": "51 psi"}');
INSERT INTO "fact" VALUES(32,'tyre','tyre A3',10,2,NULL,'{"id": "tyre A3", "designation": "175/65 R15 84T", "max_pressure": "51 psi"}');
INSERT INTO "fact" VALUES(33,'tyre','tyre A4',11,2,NULL,'{"id": "tyre A4", "designation": "175/65 R15 84T", "max_pressure": "51 psi"}');
INSERT INTO "fact" VALUES(34,'sensor','sensor S1',0,2,NULL,'{"id": "sensor S1", "printed": "0742500339", "family": "kestrel", "writing": "fixed", "at_rest": "transmits", "answers": true, "first_used": {"$day": "2022-04-02"}}');
INSERT INTO "fact" VALUES(35,'sensor','sensor S2',1,2,NULL,'{"id": "sensor S2", "printed": "0742500417", "family": "kestrel", "writing": "fixed", "at_rest": "transmits", "answers": true, "first_used": {"$day": "2022-04-02"}}');
INSERT INTO "fact" VALUES(36,'sensor','sensor S3',2,2,NULL,'{"id": "sensor S3", "printed": "0742498790", "family": "kestrel", "writing": "fixed", "at_rest": "transmits", "answers": true, "first_used": {"$day": "2022-04-02"}}');
INSERT INTO "fact" VALUES(37,'sensor','sensor S4',3,2,NULL,'{"id": "sensor S4", "printed": "0742501162", "family": "kestrel", "writing": "fixed", "at_rest": "transmits", "answers": true, "first_used": {"$day": "2022-04-02"}}');
INSERT INTO "fact" VALUES(38,'sensor','sensor W1',4,2,NULL,'{"id": "sensor W1", "printed": "1893077246", "family": "kestrel", "writing": "rewritable", "at_rest": "transmits", "answers": true, "first_used": {"$day": "2021-10-16"}}');
INSERT INTO "fact" VALUES(39,'sensor','sensor W2',5,2,NULL,'{"id": "sensor W2", "printed": "1893078003", "family": "kestrel", "writing": "rewritable", "at_rest": "transmits", "answers": true, "first_used": {"$day": "2021-10-16"}}');
INSERT INTO "fact" VALUES(40,'sensor','sensor W3',6,2,NULL,'{"id": "sensor W3", "printed": "2C41A7F", "family": "plover", "at_rest": "transmits", "answers": true}');
INSERT INTO "fact" VALUES(41,'sensor','sensor W4',7,2,NULL,'{"id": "sensor W4", "printed": "1893076550", "family": "kestrel", "at_rest": "transmits", "answers": false, "from": {"answers": "triggered three times at the seller''s, 17 October 2026, inflated to 2.2 bar"}}');
INSERT INTO "fact" VALUES(42,'sensor','sensor A1',8,2,NULL,'{"id": "sensor A1", "sends": "0x7D20E418", "family": "kestrel", "answers": true}');
INSERT INTO "fact" VALUES(43,'sensor','sensor A2',9,2,NULL,'{"id": "sensor A2", "sends": "0x7D20E4B2", "family": "kestrel", "answers": true}');
INSERT INTO "fact" VALUES(44,'sensor','sensor A3',10,2,NULL,'{"id": "sensor A3", "sends": "0x7D20D90C", "family": "kestrel", "answers": true}');
INSERT INTO "fact" VALUES(45,'sensor','sensor A4',11,2,NULL,'{"id": "sensor A4", "sends": "0x7D20F15E", "family": "kestrel", "answers": true}');
INSERT INTO "fact" VALUES(46,'wheel','S1',0,2,NULL,'{"id": "S1", "joined": [{"rim": "rim S1", "tyre": "tyre S1", "sensor": "sensor S1"}]}');
INSERT INTO "fact" VALUES(47,'wheel','S2',1,2,NULL,'{"id": "S2", "joined": [{"rim": "rim S2", "tyre": "tyre S2", "sensor": "sensor S2"}]}');
INSERT INTO "fact" VALUES(48,'wheel','S3',2,2,NULL,'{"id": "S3", "joined": [{"rim": "rim S3", "tyre": "tyre S3", "sensor": "sensor S3"}]}');
INSERT INTO "fact" VALUES(49,'wheel','S4',3,2,NULL,'{"id": "S4", "joined": [{"rim": "rim S4", "tyre": "tyre S4", "sensor": "sensor S4"}]}');
INSERT INTO "fact" VALUES(50,'wheel','W1',4,2,NULL,'{"id": "W1", "joined": [{"rim": "rim W1", "tyre": "tyre W1", "sensor": "sensor W1"}]}');
INSERT INTO "fact" VALUES(51,'wheel','W2',5,2,NULL,'{"id": "W2", "joined": [{"rim": "rim W2", "tyre": "tyre W2", "sensor": "sensor W2"}]}');
INSERT INTO "fact" VALUES(52,'wheel','W3',6,2,NULL,'{"id": "W3", "joined": [{"rim": "rim W3", "tyre": "tyre W3", "sensor": "sensor W3"}]}');
INSERT INTO "fact" VALUES(53,'wheel','W4',7,2,NULL,'{"id": "W4", "joined": [{"rim": "rim W4", "tyre": "tyre W4", "sensor": "sensor W4"}]}');
INSERT INTO "fact" VALUES(54,'wheel','A1',8,2,NULL,'{"id": "A1", "joined": [{"tyre": "tyre A1", "sensor": "sensor A1"}]}');
INSERT INTO "fact" VALUES(55,'wheel','A2',9,2,NULL,'{"id": "A2", "joined": [{"tyre": "tyre A2", "sensor": "sensor A2"}]}');
INSERT INTO "fact" VALUES(56,'wheel','A3',10,2,NULL,'{"id": "A3", "joined": [{"tyre": "tyre A3", "sensor": "sensor A3"}]}');
INSERT INTO "fact" VALUES(57,'wheel','A4',11,2,NULL,'{"id": "A4", "joined": [{"tyre": "tyre A4", "sensor": "sensor A4"}]}');
INSERT INTO "fact" VALUES(58,'set','summer',0,2,NULL,'{"id": "summer", "label": "Summer set", "wheels": {"front_left": "S1", "front_right": "S2", "rear_left": "S3", "rear_right": "S4"}}');
INSERT INTO "fact" VALUES(59,'set','winter',1,2,NULL,'{"id": "winter", "label": "Winter set", "wheels": {"front_left": "W1", "front_right": "W2", "rear_left": "W3", "rear_right": "W4"}}');
INSERT INTO "fact" VALUES(60,'set','all-year',2,2,NULL,'{"id": "all-year", "label": "All-year set", "wheels": {"front_left": "A1", "front_right": "A2", "rear_left": "A3", "rear_right": "A4"}}');
INSERT INTO "fact" VALUES(61,'stay','2.0',0,2,NULL,'{"set": "summer", "on": "estate", "since": {"$day": "2026-04-11"}, "until": {"$day": "2026-11-28"}, "yearly": true}');
INSERT INTO "fact" VALUES(62,'stay','2.1',1,2,NULL,'{"set": "summer", "at": "shed", "since": {"$day": "2026-11-28"}, "until": {"$day": "2027-04-11"}, "yearly": true}');
INSERT INTO "fact" VALUES(63,'stay','2.2',2,2,NULL,'{"set": "winter", "at": "shed", "since": {"$day": "2026-04-11"}, "until": {"$day": "2026-11-28"}, "yearly": true}');
INSERT INTO "fact" VALUES(64,'stay','2.3',3,2,NULL,'{"set": "winter", "on": "estate", "since": {"$day": "2026-11-28"}, "until": {"$day": "2027-04-11"}, "yearly": true}');
INSERT INTO "fact" VALUES(65,'stay','2.4',4,2,NULL,'{"set": "all-year", "on": "runabout", "since": {"$day": "2021-05-01"}}');
INSERT INTO "fact" VALUES(66,'writer','writer',0,2,NULL,'{"id": "writer", "label": "Hand writer", "can": ["given", "copy"], "families": ["kestrel"]}');
INSERT INTO "fact" VALUES(67,'instrument','gauge',0,2,NULL,'{"id": "gauge", "label": "Red gauge", "kind": "gauge", "pressure_bias": "0.05 bar", "pressure_spread": "0.04 bar", "from": {"pressure_bias": "against the inspection hall''s gauge, September 2026"}}');
INSERT INTO "fact" VALUES(68,'instrument','adapter',1,2,NULL,'{"id": "adapter", "label": "Grey adapter", "kind": "adapter"}');
INSERT INTO "fact" VALUES(69,'seen','87061bd15cb31abb.S1',0,5,NULL,'{"wheel": "S1", "as_of": {"$day": "2026-11-25"}, "time": "12:00:00.000", "job": "87061bd15cb31abb", "by": "Ada", "how": "fitted"}');
INSERT INTO "fact" VALUES(70,'seen','87061bd15cb31abb.W1',1,5,NULL,'{"wheel": "W1", "on": "estate", "corner": "front left", "as_of": {"$day": "2026-11-25"}, "time": "12:00:00.000", "job": "87061bd15cb31abb", "by": "Ada", "how": "fitted"}');
INSERT INTO "fact" VALUES(71,'seen','87061bd15cb31abb.S2',2,5,NULL,'{"wheel": "S2", "as_of": {"$day": "2026-11-25"}, "time": "12:00:00.000", "job": "87061bd15cb31abb", "by": "Ada", "how": "fitted"}');
INSERT INTO "fact" VALUES(72,'seen','87061bd15cb31abb.W2',3,5,NULL,'{"wheel": "W2", "on": "estate", "corner": "front right", "as_of": {"$day": "2026-11-25"}, "time": "12:00:00.000", "job": "87061bd15cb31abb", "by": "Ada", "how": "fitted"}');
INSERT INTO "fact" VALUES(73,'seen','87061bd15cb31abb.S3',4,5,NULL,'{"wheel": "S3", "as_of": {"$day": "2026-11-25"}, "time": "12:00:00.000", "job": "87061bd15cb31abb", "by": "Ada", "how": "fitted"}');
INSERT INTO "fact" VALUES(74,'seen','87061bd15cb31abb.W3',5,5,NULL,'{"wheel": "W3", "on": "estate", "corner": "rear left", "as_of": {"$day": "2026-11-25"}, "time": "12:00:00.000", "job": "87061bd15cb31abb", "by": "Ada", "how": "fitted"}');
INSERT INTO "fact" VALUES(75,'seen','87061bd15cb31abb.S4',6,5,NULL,'{"wheel": "S4", "as_of": {"$day": "2026-11-25"}, "time": "12:00:00.000", "job": "87061bd15cb31abb", "by": "Ada", "how": "fitted"}');
INSERT INTO "fact" VALUES(76,'seen','87061bd15cb31abb.W4',7,5,NULL,'{"wheel": "W4", "on": "estate", "corner": "rear right", "as_of": {"$day": "2026-11-25"}, "time": "12:00:00.000", "job": "87061bd15cb31abb", "by": "Ada", "how": "fitted"}');
CREATE TABLE garage_text (
	entry INTEGER NOT NULL, 
	text TEXT NOT NULL, 
	PRIMARY KEY (entry), 
	FOREIGN KEY(entry) REFERENCES entry (num)
)
 STRICT

;
INSERT INTO "garage_text" VALUES(2,'# An invented household, told for the morning of 25 November 2026.
# Two cars share a carport. The estate''s summer wheels are about to come off; a winter set bought
# second-hand goes on. One of its sensors is of another family, and one gave no answer.

wheelside = 1
title = "The household at the carport"

[units]
pressure = "bar"

# --- where things are -------------------------------------------------------------------------

[[place]]
id = "carport"
label = "Carport"
height = "120 m"

[[place]]
id = "shed"
label = "Shed"

[[path]]
between = ["carport", "shed"]
distance = "6 m"
walls = ["wood"]
heard = "yes"
from = { heard = "both cars'' sensors were received in the shed, 3 October 2026" }

# --- sensor families, under names of our own -----------------------------------------------------

[[family]]
id = "kestrel"
label = "Kestrel"
band = "433.92 MHz"
bits = 32
printed = "decimal"
from = { bits = "handbook of the estate", printed = "two sensors of ours, triggered and compared" }

[[family]]
id = "plover"
label = "Plover"
band = "433.92 MHz"
bits = 28
printed = "hex"

# --- cars --------------------------------------------------------------------------------------

[[car]]
id = "estate"
label = "Estate"
stands_at = "carport"
monitor = "direct"
standard = "UN R141"
family = "kestrel"
remembers_sets = 2
spare_counted = false
corner_aware = true
taught_by = "step by step"
teach_order = ["front left", "front right", "rear right", "rear left"]
teach_wheel_limit = "2 min"
teach_total_limit = "5 min"
abort_erases = true
rest_before = "20 min"
drive_for = "15 min"
drive_above = "30 km/h"
dash_shows = true
dash_offset = "1013 hPa"
warns_at = "25 % below placard"
load_index = 92
speed_symbol = "V"
torque = "120 Nm"
holds = [{ set = "summer", as_of = 2026-11-02 }]
from = { warns_at = "handbook, page on tyre pressures", torque = "handbook", holds = "read with the adapter, 2 November 2026" }

  [[car.placard]]
  tyre = "205/60 R16 92V"
  load = "normal"
  front = "2.3 bar"
  rear = "2.2 bar"

  [[car.placard]]
  tyre = "205/60 R16 92V"
  load = "full"
  front = "2.6 bar"
  rear = "2.9 bar"

[[car]]
id = "runabout"
label = "Runabout"
stands_at = "carport"
monitor = "direct"
family = "kestrel"
spare_counted = false
corner_aware = false
taught_by = "driving"
holds = [{ set = "all-year" }]

  [[car.placard]]
  tyre = "175/65 R15 84T"
  load = "normal"
  front = "36 psi"
  rear = "33 psi"

# --- the estate''s summer set ----------------------------------------------------------------------

[[rim]]
ids = ["rim S1", "rim S2", "rim S3", "rim S4"]
max_pressure = "4.5 bar"

[[tyre]]
ids = ["tyre S1", "tyre S2", "tyre S3", "tyre S4"]
designation = "205/60 R16 92V"
max_pressure = "3.5 bar"
date_code = "1122"
tread = "5 mm"

[[sensor]]
id = "sensor S1"
printed = "0742500339"
family = "kestrel"
writing = "fixed"
at_rest = "transmits"
answers = true
first_used = 2022-04-02

[[sensor]]
id = "sensor S2"
printed = "0742500417"
family = "kestrel"
writing = "fixed"
at_rest = "transmits"
answers = true
first_used = 2022-04-02

[[sensor]]
id = "sensor S3"
printed = "0742498790"
family = "kestrel"
writing = "fixed"
at_rest = "transmits"
answers = true
first_used = 2022-04-02

[[sensor]]
id = "sensor S4"
printed = "0742501162"
family = "kestrel"
writing = "fixed"
at_rest = "transmits"
answers = true
first_used = 2022-04-02

[[wheel]]
id = "S1"
joined = [{ rim = "rim S1", tyre = "tyre S1", sensor = "sensor S1" }]

[[wheel]]
id = "S2"
joined = [{ rim = "rim S2", tyre = "tyre S2", sensor = "sensor S2" }]

[[wheel]]
id = "S3"
joined = [{ rim = "rim S3", tyre = "tyre S3", sensor = "sensor S3" }]

[[wheel]]
id = "S4"
joined = [{ rim = "rim S4", tyre = "tyre S4", sensor = "sensor S4" }]

[[set]]
id = "summer"
label = "Summer set"
wheels = { front_left = "S1", front_right = "S2", rear_left = "S3", rear_right = "S4" }

# --- the winter set, bought second-hand in October ---------------------------------------------

[[rim]]
ids = ["rim W1", "rim W2", "rim W3", "rim W4"]
max_pressure = "4.0 bar"

[[tyre]]
ids = ["tyre W1", "tyre W2", "tyre W3", "tyre W4"]
designation = "205/60 R16 92H"
max_pressure = "3.5 bar"
date_code = "3519"
tread = "7/32 in"
season = "winter"

[[sensor]]
id = "sensor W1"
printed = "1893077246"
family = "kestrel"
writing = "rewritable"
at_rest = "transmits"
answers = true
first_used = 2021-10-16

[[sensor]]
id = "sensor W2"
printed = "1893078003"
family = "kestrel"
writing = "rewritable"
at_rest = "transmits"
answers = true
first_used = 2021-10-16

[[sensor]]
id = "sensor W3"
printed = "2C41A7F"
family = "plover"
at_rest = "transmits"
answers = true

[[sensor]]
id = "sensor W4"
printed = "1893076550"
family = "kestrel"
at_rest = "transmits"
answers = false
from = { answers = "triggered three times at the seller''s, 17 October 2026, inflated to 2.2 bar" }

[[wheel]]
id = "W1"
joined = [{ rim = "rim W1", tyre = "tyre W1", sensor = "sensor W1" }]

[[wheel]]
id = "W2"
joined = [{ rim = "rim W2", tyre = "tyre W2", sensor = "sensor W2" }]

[[wheel]]
id = "W3"
joined = [{ rim = "rim W3", tyre = "tyre W3", sensor = "sensor W3" }]

[[wheel]]
id = "W4"
joined = [{ rim = "rim W4", tyre = "tyre W4", sensor = "sensor W4" }]

[[set]]
id = "winter"
label = "Winter set"
wheels = { front_left = "W1", front_right = "W2", rear_left = "W3", rear_right = "W4" }

# --- the runabout''s only set ------------------------------------------------------------------------

[[tyre]]
ids = ["tyre A1", "tyre A2", "tyre A3", "tyre A4"]
designation = "175/65 R15 84T"
max_pressure = "51 psi"

[[sensor]]
id = "sensor A1"
sends = "0x7D20E418"
family = "kestrel"
answers = true

[[sensor]]
id = "sensor A2"
sends = "0x7D20E4B2"
family = "kestrel"
answers = true

[[sensor]]
id = "sensor A3"
sends = "0x7D20D90C"
family = "kestrel"
answers = true

[[sensor]]
id = "sensor A4"
sends = "0x7D20F15E"
family = "kestrel"
answers = true

[[wheel]]
id = "A1"
joined = [{ tyre = "tyre A1", sensor = "sensor A1" }]

[[wheel]]
id = "A2"
joined = [{ tyre = "tyre A2", sensor = "sensor A2" }]

[[wheel]]
id = "A3"
joined = [{ tyre = "tyre A3", sensor = "sensor A3" }]

[[wheel]]
id = "A4"
joined = [{ tyre = "tyre A4", sensor = "sensor A4" }]

[[set]]
id = "all-year"
label = "All-year set"
wheels = { front_left = "A1", front_right = "A2", rear_left = "A3", rear_right = "A4" }

# --- the season line ------------------------------------------------------------------------------

[[stay]]
set = "summer"
on = "estate"
since = 2026-04-11
until = 2026-11-28
yearly = true

[[stay]]
set = "summer"
at = "shed"
since = 2026-11-28
until = 2027-04-11
yearly = true

[[stay]]
set = "winter"
at = "shed"
since = 2026-04-11
until = 2026-11-28
yearly = true

[[stay]]
set = "winter"
on = "estate"
since = 2026-11-28
until = 2027-04-11
yearly = true

[[stay]]
set = "all-year"
on = "runabout"
since = 2021-05-01

# --- tools ----------------------------------------------------------------------------------------

[[writer]]
id = "writer"
label = "Hand writer"
can = ["given", "copy"]
families = ["kestrel"]

[[instrument]]
id = "gauge"
label = "Red gauge"
kind = "gauge"
pressure_bias = "0.05 bar"
pressure_spread = "0.04 bar"
from = { pressure_bias = "against the inspection hall''s gauge, September 2026" }

[[instrument]]
id = "adapter"
label = "Grey adapter"
kind = "adapter"

# --- this morning ------------------------------------------------------------------------------

[conditions]
tyres = "cold"
tyre_temperature = "17 °C"
tyre_temperature_spread = "2 °C"
temperature_of_use = "-9 °C"
temperature_of_use_spread = "3 °C"
coldest = "-15 °C"
warmest = "12 °C"
next_check = "4 weeks"
load = "normal"
gauge = "gauge"

[costs]
hour = "18 EUR"
sensor = "42 EUR"

[plan]
horizon_years = 3
taken_out = "scrap"
');
CREATE TABLE job (
	id TEXT NOT NULL, 
	entry INTEGER NOT NULL, 
	title TEXT NOT NULL, 
	day TEXT NOT NULL, 
	body TEXT NOT NULL, 
	PRIMARY KEY (id), 
	FOREIGN KEY(entry) REFERENCES entry (num)
)
 STRICT

;
INSERT INTO "job" VALUES('87061bd15cb31abb',4,'Winter set goes on Estate, 2026-11-28; Summer set comes off','2026-11-28','{"title":"Winter set goes on Estate, 2026-11-28; Summer set comes off","car":"estate","car_name":"Estate","coming":"winter","coming_name":"Winter set","going":"summer","going_name":"Summer set","day":"2026-11-28","monitor":"direct","taught":true,"gauge":"Red gauge","gauge_bias":"reads 0.05 bar too high","units":{"pressure":"bar","temperature":"°C","tread":"mm","mass":"kg","speed":"km/h","distance":"m","decimal_mark":"."},"wheels":[{"wheel":"W1","name":"W1","corner":"front left","sensor":"sensor W1","refit":false,"choice":"keep","writes":false,"hex":"70D610FE","bits":32,"family":"kestrel","why":"nothing to write, and no other sensor in earshot carries its ID","in_hand":false},{"wheel":"W2","name":"W2","corner":"front right","sensor":"sensor W2","refit":false,"choice":"keep","writes":false,"hex":"70D613F3","bits":32,"family":"kestrel","why":"nothing to write, and no other sensor in earshot carries its ID","in_hand":false},{"wheel":"W3","name":"W3","corner":"rear left","sensor":"sensor W3","refit":true,"choice":"fresh","writes":true,"hex":"8C0B1F52","bits":32,"family":"kestrel","why":"","in_hand":false},{"wheel":"W4","name":"W4","corner":"rear right","sensor":"sensor W4","refit":true,"choice":"fresh","writes":true,"hex":"F5BD3639","bits":32,"family":"kestrel","why":"","in_hand":false}],"sheet":{"car":"estate","coming":"winter","going":"summer","stays_on":false,"day":"2026-11-28","aim":{"level":"E4","shown_by":"E3, and each corner''s figure follows a change of 30 to 50 kPa (0.3 to 0.5 bar, 4 to 7 psi) at that corner","why":"the car was taught by corner","leaves_open":"a wrong limit, the lamp''s path","reachable":"E4","missing":[],"basis":{"ground":"judgement","source":"evidence ladder of this program"}},"steps":[{"id":"snapshot","stage":"Before anything is touched","title":"Look at Estate as it is","what":["Switch the ignition on and watch the tyre lamp: does it light for a few seconds and go out, stay, or flash?","Photograph the dash at ignition-on, and note the odometer."],"why":"Only a record from before tells later whether a fault is new, and whether the lamp works at all.","where":"in Estate","expect":"the lamp lights at ignition-on and goes out; whatever it does is noted","evidence":["photo","typed"],"minutes":6,"if_fails":"A lamp that never lights proves nothing later: have it looked at before relying on it.","basis":{"ground":"common practice","source":"no source"},"cautions":[],"waits_for":[],"lock":false,"timed":"","optional":false,"asks":[{"id":"lamp","kind":"pick","label":"The lamp at ignition-on","channel":"typed","tells":"lamp before","wheel":"","corner":"","options":["lights-goes-out","lights-stays","flashes-stays","goes-out-late","comes-and-goes","never-lights"],"expect":"lights-goes-out","bits":0,"kpa":null,"within_kpa":null,"words":false,"required":true,"names":[],"also":[],"beside":"","by_temperature":[],"least_by_temperature":[],"kelvin":null},{"id":"out-after","kind":"minutes","label":"If it went out later: after how many minutes","channel":"typed","tells":"minutes until the lamp went out","wheel":"","corner":"","options":[],"expect":"","bits":0,"kpa":null,"within_kpa":null,"words":false,"required":false,"names":[],"also":[],"beside":"","by_temperature":[],"least_by_temperature":[],"kelvin":null},{"id":"odometer","kind":"words","label":"Odometer","channel":"typed","tells":"","wheel":"","corner":"","options":[],"expect":"","bits":0,"kpa":null,"within_kpa":null,"words":false,"required":false,"names":[],"also":[],"beside":"","by_temperature":[],"least_by_temperature":[],"kelvin":null},{"id":"photo","kind":"photo","label":"Photo of the dash at ignition-on","channel":"photo","tells":"","wheel":"","corner":"","options":[],"expect":"","bits":0,"kpa":null,"within_kpa":null,"words":false,"required":false,"names":[],"also":[],"beside":"","by_temperature":[],"least_by_temperature":[],"kelvin":null}],"allowed_s":null,"wait_s":null,"does":"look","moves":[]},{"id":"codes-before","stage":"Before anything is touched","title":"Read the codes from before","what":["Read and save the stored codes with Grey adapter; clear nothing."],"why":"Only codes from before tell later which ones came today.","where":"parked, ignition on","expect":"what is there is noted, be it none","evidence":["port"],"minutes":3,"if_fails":"No answer: ignition on, the plug seated, the right port card? Say ''not read'' and go on.","basis":{"ground":"common practice","source":"no source"},"cautions":["Read and save first. Clear nothing in a brake, airbag or steering unit; ignition on, engine off, steady supply. The handbook, local rules and a licensed workshop go before this sheet."],"waits_for":[],"lock":false,"timed":"","optional":false,"asks":[{"id":"codes","kind":"pick","label":"Stored and pending codes, one after the other","channel":"port","tells":"codes before","wheel":"","corner":"","options":["none","some","not read"],"expect":"","bits":0,"kpa":null,"within_kpa":null,"words":true,"required":true,"names":[],"also":[],"beside":"","by_temperature":[],"least_by_temperature":[],"kelvin":null}],"allowed_s":null,"wait_s":null,"does":"read codes","moves":[]},{"id":"pressures-before","stage":"Before anything is touched","title":"Note the pressures before","what":["Gauge the fitted tyres cold and what the dash shows, with the outside temperature."],"why":"A tyre that is already low is a leak to find, not a sensor to change.","where":"at each wheel","expect":"four figures that agree within 0.10 bar on each axle","evidence":["gauge"],"minutes":8,"if_fails":"A tyre more than 0.30 bar below its fellow: look for the leak first.","basis":{"ground":"common practice","source":"no source"},"cautions":[],"waits_for":[],"lock":false,"timed":"","optional":false,"asks":[{"id":"pressure-s1","kind":"pressure","label":"Gauge at wheel S1","channel":"gauge","tells":"pressure before","wheel":"S1","corner":"","options":[],"expect":"","bits":0,"kpa":null,"within_kpa":null,"words":false,"required":true,"names":[],"also":[],"beside":"","by_temperature":[],"least_by_temperature":[],"kelvin":null},{"id":"pressure-s2","kind":"pressure","label":"Gauge at wheel S2","channel":"gauge","tells":"pressure before","wheel":"S2","corner":"","options":[],"expect":"","bits":0,"kpa":null,"within_kpa":null,"words":false,"required":true,"names":[],"also":[],"beside":"","by_temperature":[],"least_by_temperature":[],"kelvin":null},{"id":"pressure-s3","kind":"pressure","label":"Gauge at wheel S3","channel":"gauge","tells":"pressure before","wheel":"S3","corner":"","options":[],"expect":"","bits":0,"kpa":null,"within_kpa":null,"words":false,"required":true,"names":[],"also":[],"beside":"","by_temperature":[],"least_by_temperature":[],"kelvin":null},{"id":"pressure-s4","kind":"pressure","label":"Gauge at wheel S4","channel":"gauge","tells":"pressure before","wheel":"S4","corner":"","options":[],"expect":"","bits":0,"kpa":null,"within_kpa":null,"words":false,"required":true,"names":[],"also":[],"beside":"","by_temperature":[],"least_by_temperature":[],"kelvin":null},{"id":"temperature","kind":"temperature","label":"Outside temperature","channel":"typed","tells":"tyre temperature","wheel":"","corner":"","options":[],"expect":"","bits":0,"kpa":null,"within_kpa":null,"words":false,"required":false,"names":[],"also":[],"beside":"","by_temperature":[],"least_by_temperature":[],"kelvin":null}],"allowed_s":null,"wait_s":null,"does":"gauge","moves":[]},{"id":"answer-w1","stage":"Before anything is touched","title":"Trigger wheel W1","what":["Hold the trigger to the sidewall beside the valve for up to ten seconds, other wheels at least a metre away.","Note the ID it sends, its pressure and its battery flag."],"why":"The print can be misread, and a silent sensor is found now rather than on the road.","where":"at wheel W1, at Shed","expect":"it sends 70D6 10FE (decimal 1 893 077 246)","evidence":["trigger"],"minutes":2,"if_fails":"No answer: inflate to its pressure, trigger again; let out 0.50 bar quickly, wait a minute, trigger again. Say ''no answer within two minutes'', not ''dead''. An answer from a sensor noted as silent, or another ID than this: enter it in the file and plan again.","basis":{"ground":"common practice","source":"no source"},"cautions":[],"waits_for":[],"lock":false,"timed":"","optional":false,"asks":[{"id":"id-w1","kind":"id","label":"ID that wheel W1 sends","channel":"trigger","tells":"sent before","wheel":"W1","corner":"","options":[],"expect":"70D610FE","bits":32,"kpa":null,"within_kpa":null,"words":false,"required":true,"names":[],"also":[],"beside":"","by_temperature":[],"least_by_temperature":[],"kelvin":null},{"id":"battery","kind":"pick","label":"Its battery flag","channel":"typed","tells":"battery flag","wheel":"W1","corner":"","options":["good","low","not shown"],"expect":"","bits":0,"kpa":null,"within_kpa":null,"words":false,"required":false,"names":[],"also":[],"beside":"","by_temperature":[],"least_by_temperature":[],"kelvin":null}],"allowed_s":null,"wait_s":null,"does":"trigger","moves":[]},{"id":"answer-w2","stage":"Before anything is touched","title":"Trigger wheel W2","what":["Hold the trigger to the sidewall beside the valve for up to ten seconds, other wheels at least a metre away.","Note the ID it sends, its pressure and its battery flag."],"why":"The print can be misread, and a silent sensor is found now rather than on the road.","where":"at wheel W2, at Shed","expect":"it sends 70D6 13F3 (decimal 1 893 078 003)","evidence":["trigger"],"minutes":2,"if_fails":"No answer: inflate to its pressure, trigger again; let out 0.50 bar quickly, wait a minute, trigger again. Say ''no answer within two minutes'', not ''dead''. An answer from a sensor noted as silent, or another ID than this: enter it in the file and plan again.","basis":{"ground":"common practice","source":"no source"},"cautions":[],"waits_for":[],"lock":false,"timed":"","optional":false,"asks":[{"id":"id-w2","kind":"id","label":"ID that wheel W2 sends","channel":"trigger","tells":"sent before","wheel":"W2","corner":"","options":[],"expect":"70D613F3","bits":32,"kpa":null,"within_kpa":null,"words":false,"required":true,"names":[],"also":[],"beside":"","by_temperature":[],"least_by_temperature":[],"kelvin":null},{"id":"battery","kind":"pick","label":"Its battery flag","channel":"typed","tells":"battery flag","wheel":"W2","corner":"","options":["good","low","not shown"],"expect":"","bits":0,"kpa":null,"within_kpa":null,"words":false,"required":false,"names":[],"also":[],"beside":"","by_temperature":[],"least_by_temperature":[],"kelvin":null}],"allowed_s":null,"wait_s":null,"does":"trigger","moves":[]},{"id":"answer-w3","stage":"Before anything is touched","title":"Trigger wheel W3","what":["Hold the trigger to the sidewall beside the valve for up to ten seconds, other wheels at least a metre away.","Note the ID it sends, its pressure and its battery flag."],"why":"The print can be misread, and a silent sensor is found now rather than on the road.","where":"at wheel W3, at Shed","expect":"it sends 2C4 1A7F (decimal 046 406 271)","evidence":["trigger"],"minutes":2,"if_fails":"No answer: inflate to its pressure, trigger again; let out 0.50 bar quickly, wait a minute, trigger again. Say ''no answer within two minutes'', not ''dead''. An answer from a sensor noted as silent, or another ID than this: enter it in the file and plan again.","basis":{"ground":"common practice","source":"no source"},"cautions":[],"waits_for":[],"lock":false,"timed":"","optional":false,"asks":[{"id":"id-w3","kind":"id","label":"ID that wheel W3 sends","channel":"trigger","tells":"sent before","wheel":"W3","corner":"","options":[],"expect":"2C41A7F","bits":28,"kpa":null,"within_kpa":null,"words":false,"required":true,"names":[],"also":[],"beside":"","by_temperature":[],"least_by_temperature":[],"kelvin":null},{"id":"battery","kind":"pick","label":"Its battery flag","channel":"typed","tells":"battery flag","wheel":"W3","corner":"","options":["good","low","not shown"],"expect":"","bits":0,"kpa":null,"within_kpa":null,"words":false,"required":false,"names":[],"also":[],"beside":"","by_temperature":[],"least_by_temperature":[],"kelvin":null}],"allowed_s":null,"wait_s":null,"does":"trigger","moves":[]},{"id":"answer-w4","stage":"Before anything is touched","title":"Trigger wheel W4","what":["Hold the trigger to the sidewall beside the valve for up to ten seconds, other wheels at least a metre away.","Note the ID it sends, its pressure and its battery flag."],"why":"The print can be misread, and a silent sensor is found now rather than on the road.","where":"at wheel W4, at Shed","expect":"no answer, as noted; an answer would be news","evidence":["trigger"],"minutes":2,"if_fails":"No answer: inflate to its pressure, trigger again; let out 0.50 bar quickly, wait a minute, trigger again. Say ''no answer within two minutes'', not ''dead''. An answer from a sensor noted as silent, or another ID than this: enter it in the file and plan again.","basis":{"ground":"common practice","source":"no source"},"cautions":[],"waits_for":[],"lock":false,"timed":"","optional":false,"asks":[{"id":"id-w4","kind":"id","label":"ID that wheel W4 sends","channel":"trigger","tells":"sent before","wheel":"W4","corner":"","options":[],"expect":"70D60E46","bits":32,"kpa":null,"within_kpa":null,"words":false,"required":true,"names":[],"also":[],"beside":"","by_temperature":[],"least_by_temperature":[],"kelvin":null},{"id":"battery","kind":"pick","label":"Its battery flag","channel":"typed","tells":"battery flag","wheel":"W4","corner":"","options":["good","low","not shown"],"expect":"","bits":0,"kpa":null,"within_kpa":null,"words":false,"required":false,"names":[],"also":[],"beside":"","by_temperature":[],"least_by_temperature":[],"kelvin":null}],"allowed_s":null,"wait_s":null,"does":"trigger","moves":[]},{"id":"parts","stage":"Parts and tools","title":"Lay everything out","what":["2 × blank sensor, family Kestrel, 433.92 MHz, that your writer can write","2 × valve service kit for it: seal, washer, nut, core with nickel plating, cap with seal","2 × balancing at the shop, and the shop''s torque figure for the valve nut","gauge and inflator, tags and a marker that stays","torque wrench, jack, stands, chocks, wire brush","fasteners that fit the rims: seat shape, thread, length; the key for locking ones","trigger and writer"],"why":"A missing seal or a wrong fastener is found now, not with the car on stands.","where":"at the bench","expect":"every line is there; fastening torque 120 Nm","evidence":["typed"],"minutes":10,"if_fails":"Do not begin with a part missing.","basis":{"ground":"owner''s word","source":"handbook"},"cautions":[],"waits_for":[],"lock":false,"timed":"","optional":false,"asks":[{"id":"done","kind":"done","label":"Everything is there","channel":"typed","tells":"","wheel":"","corner":"","options":[],"expect":"","bits":0,"kpa":null,"within_kpa":null,"words":false,"required":true,"names":[],"also":[],"beside":"","by_temperature":[],"least_by_temperature":[],"kelvin":null}],"allowed_s":null,"wait_s":null,"does":"lay out","moves":[]},{"id":"write-w3","stage":"Write new sensors on the bench","title":"Write the sensor for wheel W3","what":["Every other sensor and wheel lies at least a metre away, or in a closed metal tin.","With Hand writer, write 8C0B 1F52 (decimal 2 349 539 154)."],"why":".","where":"on the bench, before it is fitted","expect":"the writer reports that it has written","evidence":["writer"],"minutes":3,"if_fails":"See ''Only if a sensor was written wrongly''.","basis":{"ground":"computed","source":"identity plan"},"cautions":["Writing changes what the car takes this wheel for. Never write an ID that another live wheel carries, except the clone this plan names."],"waits_for":["parts"],"lock":false,"timed":"","optional":false,"asks":[{"id":"written","kind":"pick","label":"The writer reports that it has written","channel":"writer","tells":"written","wheel":"W3","corner":"","options":["yes","no"],"expect":"yes","bits":0,"kpa":null,"within_kpa":null,"words":false,"required":true,"names":[],"also":[],"beside":"","by_temperature":[],"least_by_temperature":[],"kelvin":null}],"allowed_s":null,"wait_s":null,"does":"write","moves":[]},{"id":"read-back-w3","stage":"Write new sensors on the bench","title":"Read it back and label it W3","what":["Trigger it with something other than the writer if you have it, and compare.","Stick on the label W3 with the ID."],"why":"A writer reports what it sent, not what arrived; a neighbour may have taken the write instead.","where":"on the bench","expect":"8C0B 1F52 (decimal 2 349 539 154), digit by digit; pressure about 0.00 bar gauge (100 kPa absolute), temperature that of the room","evidence":["trigger","photo"],"minutes":2,"if_fails":"See ''Only if a sensor was written wrongly''.","basis":{"ground":"common practice","source":"no source"},"cautions":[],"waits_for":["write-w3"],"lock":false,"timed":"","optional":false,"asks":[{"id":"id-w3","kind":"id","label":"ID that wheel W3 sends","channel":"trigger","tells":"read back","wheel":"W3","corner":"","options":[],"expect":"8C0B1F52","bits":32,"kpa":null,"within_kpa":null,"words":false,"required":true,"names":[],"also":[],"beside":"","by_temperature":[],"least_by_temperature":[],"kelvin":null},{"id":"photo","kind":"photo","label":"Photo of the sensor with its label","channel":"photo","tells":"","wheel":"","corner":"","options":[],"expect":"","bits":0,"kpa":null,"within_kpa":null,"words":false,"required":false,"names":[],"also":[],"beside":"","by_temperature":[],"least_by_temperature":[],"kelvin":null}],"allowed_s":null,"wait_s":null,"does":"read back","moves":[]},{"id":"write-w4","stage":"Write new sensors on the bench","title":"Write the sensor for wheel W4","what":["Every other sensor and wheel lies at least a metre away, or in a closed metal tin.","With Hand writer, write F5BD 3639 (decimal 4 122 818 105)."],"why":".","where":"on the bench, before it is fitted","expect":"the writer reports that it has written","evidence":["writer"],"minutes":3,"if_fails":"See ''Only if a sensor was written wrongly''.","basis":{"ground":"computed","source":"identity plan"},"cautions":["Writing changes what the car takes this wheel for. Never write an ID that another live wheel carries, except the clone this plan names."],"waits_for":["parts"],"lock":false,"timed":"","optional":false,"asks":[{"id":"written","kind":"pick","label":"The writer reports that it has written","channel":"writer","tells":"written","wheel":"W4","corner":"","options":["yes","no"],"expect":"yes","bits":0,"kpa":null,"within_kpa":null,"words":false,"required":true,"names":[],"also":[],"beside":"","by_temperature":[],"least_by_temperature":[],"kelvin":null}],"allowed_s":null,"wait_s":null,"does":"write","moves":[]},{"id":"read-back-w4","stage":"Write new sensors on the bench","title":"Read it back and label it W4","what":["Trigger it with something other than the writer if you have it, and compare.","Stick on the label W4 with the ID."],"why":"A writer reports what it sent, not what arrived; a neighbour may have taken the write instead.","where":"on the bench","expect":"F5BD 3639 (decimal 4 122 818 105), digit by digit; pressure about 0.00 bar gauge (100 kPa absolute), temperature that of the room","evidence":["trigger","photo"],"minutes":2,"if_fails":"See ''Only if a sensor was written wrongly''.","basis":{"ground":"common practice","source":"no source"},"cautions":[],"waits_for":["write-w4"],"lock":false,"timed":"","optional":false,"asks":[{"id":"id-w4","kind":"id","label":"ID that wheel W4 sends","channel":"trigger","tells":"read back","wheel":"W4","corner":"","options":[],"expect":"F5BD3639","bits":32,"kpa":null,"within_kpa":null,"words":false,"required":true,"names":[],"also":[],"beside":"","by_temperature":[],"least_by_temperature":[],"kelvin":null},{"id":"photo","kind":"photo","label":"Photo of the sensor with its label","channel":"photo","tells":"","wheel":"","corner":"","options":[],"expect":"","bits":0,"kpa":null,"within_kpa":null,"words":false,"required":false,"names":[],"also":[],"beside":"","by_temperature":[],"least_by_temperature":[],"kelvin":null}],"allowed_s":null,"wait_s":null,"does":"read back","moves":[]},{"id":"shop","stage":"Tyre shop","title":"Have the sensors fitted","what":["Hand this note over with the wheels:","Wheels W3, W4: please change the sensor; each new one bears its wheel''s label.","W3: new sensor 8C0B 1F52 (decimal 2 349 539 154); there is a sensor in it: keep the bead breaker away from the valve","W4: new sensor F5BD 3639 (decimal 4 122 818 105); there is a sensor in it: keep the bead breaker away from the valve","New seal, washer, nut, core and cap for each; valve nut to the torque of the sensor''s own sheet; port facing the air.","No sealant. Balance. Soap test at the valve and both beads. Old sensors come back to me in a bag, labelled."],"why":"Changing a sensor takes the tyre off the rim, which is a tyre machine''s work.","where":"at the tyre shop, or with your own machine if you are trained on it","expect":"each wheel answers the trigger with its planned ID; gauge and sensor agree within 0.10 bar; no bubbles","evidence":["trigger","typed"],"minutes":60,"if_fails":"No answer from a sensor that answered on the bench: it was harmed in fitting, and the shop changes it.","basis":{"ground":"common practice","source":"no source"},"cautions":["Sensors hold a potted lithium cell: do not drill, cut or heat them; hand them in as batteries.","Seating a bead is done by a trained person, at no more than the tyre''s marked limit. The handbook, local rules and a licensed workshop go before this sheet."],"waits_for":["read-back-w3","read-back-w4"],"lock":false,"timed":"","optional":false,"asks":[{"id":"id-w3","kind":"id","label":"ID that wheel W3 sends","channel":"trigger","tells":"read back","wheel":"W3","corner":"","options":[],"expect":"8C0B1F52","bits":32,"kpa":null,"within_kpa":null,"words":false,"required":true,"names":[],"also":[],"beside":"","by_temperature":[],"least_by_temperature":[],"kelvin":null},{"id":"id-w4","kind":"id","label":"ID that wheel W4 sends","channel":"trigger","tells":"read back","wheel":"W4","corner":"","options":[],"expect":"F5BD3639","bits":32,"kpa":null,"within_kpa":null,"words":false,"required":true,"names":[],"also":[],"beside":"","by_temperature":[],"least_by_temperature":[],"kelvin":null},{"id":"bubbles","kind":"pick","label":"Soap test at valve and beads","channel":"typed","tells":"","wheel":"","corner":"","options":["no bubbles","bubbles"],"expect":"no bubbles","bits":0,"kpa":null,"within_kpa":null,"words":false,"required":true,"names":[],"also":[],"beside":"","by_temperature":[],"least_by_temperature":[],"kelvin":null}],"allowed_s":null,"wait_s":null,"does":"change sensors","moves":[]},{"id":"label","stage":"Swap the wheels","title":"Label the wheels","what":["Tag each coming wheel with its own name, which stays with it: W1 goes front left, W2 goes front right, W3 goes rear left, W4 goes rear right.","Tag each wheel that comes off with its name before it leaves its corner."],"why":"A corner is where a wheel was on a day; the name is what stays.","where":"beside the car","expect":"a tag on each that matches the list","evidence":["photo"],"minutes":4,"if_fails":"A wheel whose name is in doubt: trigger it and go by its ID.","basis":{"ground":"common practice","source":"no source"},"cautions":[],"waits_for":[],"lock":false,"timed":"","optional":false,"asks":[{"id":"done","kind":"done","label":"Each has its tag","channel":"typed","tells":"","wheel":"","corner":"","options":[],"expect":"","bits":0,"kpa":null,"within_kpa":null,"words":false,"required":true,"names":[],"also":[],"beside":"","by_temperature":[],"least_by_temperature":[],"kelvin":null},{"id":"photo","kind":"photo","label":"Photo of the tags","channel":"photo","tells":"","wheel":"","corner":"","options":[],"expect":"","bits":0,"kpa":null,"within_kpa":null,"words":false,"required":false,"names":[],"also":[],"beside":"","by_temperature":[],"least_by_temperature":[],"kelvin":null}],"allowed_s":null,"wait_s":null,"does":"label","moves":[]},{"id":"fit-w1","stage":"Swap the wheels","title":"Fit wheel W1 front left","what":["On the ground first: chock the wheels that stay down, and loosen every fastener of this wheel a quarter turn.","Lift this corner, take S1 off, look at tyre, brake and hub.","Brush hub and rim faces bright and dry; leave any centring ring in the rim it belongs to.","Fit W1, fasten by hand, then crosswise until it sits, and lower the car."],"why":"The plan has W1 at front left, and this car tells corners apart.","where":"front left, left and right as from the driver''s seat","expect":"the wheel sits flat and turns freely; every fastener went in by hand","evidence":["typed"],"minutes":9,"if_fails":"A fastener that binds or takes too few turns is the wrong one: stop, do not force it.","basis":{"ground":"common practice","source":"no source"},"cautions":["Level firm ground, in gear or park, handbrake on (electric brake as the handbook says), chocks. Lift at the maker''s points only, set it on a stand, and never reach under a car that is held by a jack. The handbook, local rules and a licensed workshop go before this sheet.","Right seat shape, thread and length; count the turns by hand; clean dry bare faces, no grease. The last turn with a torque wrench on the ground, never an impact gun. Stretched or rusty fasteners are not used again. The handbook, local rules and a licensed workshop go before this sheet."],"waits_for":[],"lock":false,"timed":"","optional":false,"asks":[{"id":"done","kind":"done","label":"W1 sits flat, every fastener went in by hand","channel":"typed","tells":"","wheel":"","corner":"","options":[],"expect":"","bits":0,"kpa":null,"within_kpa":null,"words":false,"required":true,"names":[],"also":[],"beside":"","by_temperature":[],"least_by_temperature":[],"kelvin":null}],"allowed_s":null,"wait_s":null,"does":"fit","moves":[{"wheel":"S1","on":null,"corner":"","at":null},{"wheel":"W1","on":"estate","corner":"front left","at":null}]},{"id":"fit-w2","stage":"Swap the wheels","title":"Fit wheel W2 front right","what":["On the ground first: chock the wheels that stay down, and loosen every fastener of this wheel a quarter turn.","Lift this corner, take S2 off, look at tyre, brake and hub.","Brush hub and rim faces bright and dry; leave any centring ring in the rim it belongs to.","Fit W2, fasten by hand, then crosswise until it sits, and lower the car."],"why":"The plan has W2 at front right, and this car tells corners apart.","where":"front right, left and right as from the driver''s seat","expect":"the wheel sits flat and turns freely; every fastener went in by hand","evidence":["typed"],"minutes":9,"if_fails":"A fastener that binds or takes too few turns is the wrong one: stop, do not force it.","basis":{"ground":"common practice","source":"no source"},"cautions":["Level firm ground, in gear or park, handbrake on (electric brake as the handbook says), chocks. Lift at the maker''s points only, set it on a stand, and never reach under a car that is held by a jack. The handbook, local rules and a licensed workshop go before this sheet.","Right seat shape, thread and length; count the turns by hand; clean dry bare faces, no grease. The last turn with a torque wrench on the ground, never an impact gun. Stretched or rusty fasteners are not used again. The handbook, local rules and a licensed workshop go before this sheet."],"waits_for":[],"lock":false,"timed":"","optional":false,"asks":[{"id":"done","kind":"done","label":"W2 sits flat, every fastener went in by hand","channel":"typed","tells":"","wheel":"","corner":"","options":[],"expect":"","bits":0,"kpa":null,"within_kpa":null,"words":false,"required":true,"names":[],"also":[],"beside":"","by_temperature":[],"least_by_temperature":[],"kelvin":null}],"allowed_s":null,"wait_s":null,"does":"fit","moves":[{"wheel":"S2","on":null,"corner":"","at":null},{"wheel":"W2","on":"estate","corner":"front right","at":null}]},{"id":"fit-w3","stage":"Swap the wheels","title":"Fit wheel W3 rear left","what":["On the ground first: chock the wheels that stay down, and loosen every fastener of this wheel a quarter turn.","Lift this corner, take S3 off, look at tyre, brake and hub.","Brush hub and rim faces bright and dry; leave any centring ring in the rim it belongs to.","Fit W3, fasten by hand, then crosswise until it sits, and lower the car."],"why":"The plan has W3 at rear left, and this car tells corners apart.","where":"rear left, left and right as from the driver''s seat","expect":"the wheel sits flat and turns freely; every fastener went in by hand","evidence":["typed"],"minutes":9,"if_fails":"A fastener that binds or takes too few turns is the wrong one: stop, do not force it.","basis":{"ground":"common practice","source":"no source"},"cautions":["Level firm ground, in gear or park, handbrake on (electric brake as the handbook says), chocks. Lift at the maker''s points only, set it on a stand, and never reach under a car that is held by a jack. The handbook, local rules and a licensed workshop go before this sheet.","Right seat shape, thread and length; count the turns by hand; clean dry bare faces, no grease. The last turn with a torque wrench on the ground, never an impact gun. Stretched or rusty fasteners are not used again. The handbook, local rules and a licensed workshop go before this sheet."],"waits_for":[],"lock":false,"timed":"","optional":false,"asks":[{"id":"done","kind":"done","label":"W3 sits flat, every fastener went in by hand","channel":"typed","tells":"","wheel":"","corner":"","options":[],"expect":"","bits":0,"kpa":null,"within_kpa":null,"words":false,"required":true,"names":[],"also":[],"beside":"","by_temperature":[],"least_by_temperature":[],"kelvin":null}],"allowed_s":null,"wait_s":null,"does":"fit","moves":[{"wheel":"S3","on":null,"corner":"","at":null},{"wheel":"W3","on":"estate","corner":"rear left","at":null}]},{"id":"fit-w4","stage":"Swap the wheels","title":"Fit wheel W4 rear right","what":["On the ground first: chock the wheels that stay down, and loosen every fastener of this wheel a quarter turn.","Lift this corner, take S4 off, look at tyre, brake and hub.","Brush hub and rim faces bright and dry; leave any centring ring in the rim it belongs to.","Fit W4, fasten by hand, then crosswise until it sits, and lower the car."],"why":"The plan has W4 at rear right, and this car tells corners apart.","where":"rear right, left and right as from the driver''s seat","expect":"the wheel sits flat and turns freely; every fastener went in by hand","evidence":["typed"],"minutes":9,"if_fails":"A fastener that binds or takes too few turns is the wrong one: stop, do not force it.","basis":{"ground":"common practice","source":"no source"},"cautions":["Level firm ground, in gear or park, handbrake on (electric brake as the handbook says), chocks. Lift at the maker''s points only, set it on a stand, and never reach under a car that is held by a jack. The handbook, local rules and a licensed workshop go before this sheet.","Right seat shape, thread and length; count the turns by hand; clean dry bare faces, no grease. The last turn with a torque wrench on the ground, never an impact gun. Stretched or rusty fasteners are not used again. The handbook, local rules and a licensed workshop go before this sheet."],"waits_for":[],"lock":false,"timed":"","optional":false,"asks":[{"id":"done","kind":"done","label":"W4 sits flat, every fastener went in by hand","channel":"typed","tells":"","wheel":"","corner":"","options":[],"expect":"","bits":0,"kpa":null,"within_kpa":null,"words":false,"required":true,"names":[],"also":[],"beside":"","by_temperature":[],"least_by_temperature":[],"kelvin":null}],"allowed_s":null,"wait_s":null,"does":"fit","moves":[{"wheel":"S4","on":null,"corner":"","at":null},{"wheel":"W4","on":"estate","corner":"rear right","at":null}]},{"id":"torque","stage":"Swap the wheels","title":"Torque to 120 Nm","what":["On the ground, crosswise, first to 60 Nm, then to 120 Nm, every fastener of every wheel that was off."],"why":"Even clamping holds the wheel; the figure is the car''s own, whatever the rim.","where":"all four corners","expect":"every fastener reaches 120 Nm while still turning a little","evidence":["typed","photo"],"minutes":6,"if_fails":"One that clicks without turning was too tight before: loosen it, clean it, and do it again.","basis":{"ground":"owner''s word","source":"handbook"},"cautions":["Right seat shape, thread and length; count the turns by hand; clean dry bare faces, no grease. The last turn with a torque wrench on the ground, never an impact gun. Stretched or rusty fasteners are not used again. The handbook, local rules and a licensed workshop go before this sheet."],"waits_for":["fit-w1","fit-w2","fit-w3","fit-w4"],"lock":false,"timed":"","optional":false,"asks":[{"id":"done","kind":"done","label":"Every fastener reached 120 Nm","channel":"typed","tells":"torque","wheel":"","corner":"","options":[],"expect":"","bits":0,"kpa":null,"within_kpa":null,"words":false,"required":true,"names":[],"also":[],"beside":"","by_temperature":[],"least_by_temperature":[],"kelvin":null},{"id":"photo","kind":"photo","label":"Photo of the wrench''s setting","channel":"photo","tells":"","wheel":"","corner":"","options":[],"expect":"","bits":0,"kpa":null,"within_kpa":null,"words":false,"required":false,"names":[],"also":[],"beside":"","by_temperature":[],"least_by_temperature":[],"kelvin":null}],"allowed_s":null,"wait_s":null,"does":"torque","moves":[]},{"id":"carry-away","stage":"Swap the wheels","title":"Carry Summer set away from the car","what":["Take the wheels that came off well away from Estate, further than Shed, until the car has been driven and proven. Nothing stays in the boot."],"why":"Its sensors are awake, and the car would hear them beside its own.","where":"from Estate","expect":"Summer set is out of the car''s earshot","evidence":["typed"],"minutes":10,"if_fails":"Where it can''t be carried away, drive the car away from it before anything is taught, looked at or proven.","basis":{"ground":"common practice","source":"no source"},"cautions":[],"waits_for":["torque"],"lock":false,"timed":"","optional":false,"asks":[{"id":"done","kind":"done","label":"It is out of the car''s earshot","channel":"typed","tells":"","wheel":"","corner":"","options":[],"expect":"","bits":0,"kpa":null,"within_kpa":null,"words":false,"required":true,"names":[],"also":[],"beside":"","by_temperature":[],"least_by_temperature":[],"kelvin":null}],"allowed_s":null,"wait_s":null,"does":"carry away","moves":[{"wheel":"S1","on":null,"corner":"","at":null},{"wheel":"S2","on":null,"corner":"","at":null},{"wheel":"S3","on":null,"corner":"","at":null},{"wheel":"S4","on":null,"corner":"","at":null}]},{"id":"air-w1","stage":"Pressures","title":"Set wheel W1: 2.67 bar at 17 °C, by Red gauge","what":["Take the tyre''s own temperature first. One figure does for all tyres that lie together.","At 17 °C set 2.67 bar on Red gauge (true 2.62 bar; it reads 0.05 bar too high); at another temperature set what the table says.","If the tyres have been driven or stand in the sun, wait: a hot tyre is never let down to a cold figure."],"why":"So that it reads 2.30 bar at -9 °C, where the car is used.","where":"front left","expect":"2.67 bar ± 0.05 at 17 °C, else the table''s figure","evidence":["gauge"],"minutes":3,"if_fails":"A figure that falls while you watch is a leak: soap the valve, the beads and the tread.","basis":{"ground":"owner''s word","source":"garage file"},"cautions":["Stand aside of the sidewall, use a clip-on chuck and a gauge you trust, and never pass the tyre''s or the rim''s marked maximum. A tyre with a bulge, showing cord, or driven flat is not inflated ''to see'': it goes to a workshop."],"waits_for":[],"lock":false,"timed":"","optional":false,"asks":[{"id":"temperature","kind":"temperature","label":"The tyre''s own temperature (planned for 17 °C)","channel":"typed","tells":"tyre temperature","wheel":"","corner":"","options":[],"expect":"","bits":0,"kpa":null,"within_kpa":null,"words":false,"required":true,"names":[],"also":[],"beside":"","by_temperature":[],"least_by_temperature":[],"kelvin":290.15},{"id":"pressure-w1","kind":"pressure","label":"Gauge at wheel W1","channel":"gauge","tells":"set pressure","wheel":"W1","corner":"","options":[],"expect":"","bits":0,"kpa":267.4708794055596,"within_kpa":5.0,"words":false,"required":true,"names":[],"also":[],"beside":"","by_temperature":[[233.14999999999998,234.99999999999997],[238.14999999999998,234.99999999999997],[243.14999999999998,234.99999999999997],[248.14999999999998,234.99999999999997],[253.14999999999998,234.99999999999997],[258.15,234.99999999999997],[263.15,234.99999999999997],[264.15,234.99999999999997],[268.15,239.99551990854758],[273.15,246.23991979423215],[278.15,252.48431967991667],[283.15,258.7287195656012],[285.15,261.22647951987506],[288.15,264.9731194512858],[290.15,267.4708794055596],[293.15,271.2175193369703],[298.15,277.4619192226549],[303.15,283.7063191083394],[308.15,289.95071899402393],[313.15,296.1951188797085],[318.15,302.4395187653931],[323.15,308.68391865107765]],"least_by_temperature":[],"kelvin":290.15}],"allowed_s":null,"wait_s":null,"does":"set pressure","moves":[]},{"id":"air-w2","stage":"Pressures","title":"Set wheel W2: 2.67 bar at 17 °C, by Red gauge","what":["Take the tyre''s own temperature first. One figure does for all tyres that lie together.","At 17 °C set 2.67 bar on Red gauge (true 2.62 bar; it reads 0.05 bar too high); at another temperature set what the table says.","If the tyres have been driven or stand in the sun, wait: a hot tyre is never let down to a cold figure."],"why":"So that it reads 2.30 bar at -9 °C, where the car is used.","where":"front right","expect":"2.67 bar ± 0.05 at 17 °C, else the table''s figure","evidence":["gauge"],"minutes":3,"if_fails":"A figure that falls while you watch is a leak: soap the valve, the beads and the tread.","basis":{"ground":"owner''s word","source":"garage file"},"cautions":["Stand aside of the sidewall, use a clip-on chuck and a gauge you trust, and never pass the tyre''s or the rim''s marked maximum. A tyre with a bulge, showing cord, or driven flat is not inflated ''to see'': it goes to a workshop."],"waits_for":[],"lock":false,"timed":"","optional":false,"asks":[{"id":"temperature","kind":"temperature","label":"The tyre''s own temperature (planned for 17 °C)","channel":"typed","tells":"tyre temperature","wheel":"","corner":"","options":[],"expect":"","bits":0,"kpa":null,"within_kpa":null,"words":false,"required":true,"names":[],"also":[],"beside":"","by_temperature":[],"least_by_temperature":[],"kelvin":290.15},{"id":"pressure-w2","kind":"pressure","label":"Gauge at wheel W2","channel":"gauge","tells":"set pressure","wheel":"W2","corner":"","options":[],"expect":"","bits":0,"kpa":267.4708794055596,"within_kpa":5.0,"words":false,"required":true,"names":[],"also":[],"beside":"","by_temperature":[[233.14999999999998,234.99999999999997],[238.14999999999998,234.99999999999997],[243.14999999999998,234.99999999999997],[248.14999999999998,234.99999999999997],[253.14999999999998,234.99999999999997],[258.15,234.99999999999997],[263.15,234.99999999999997],[264.15,234.99999999999997],[268.15,239.99551990854758],[273.15,246.23991979423215],[278.15,252.48431967991667],[283.15,258.7287195656012],[285.15,261.22647951987506],[288.15,264.9731194512858],[290.15,267.4708794055596],[293.15,271.2175193369703],[298.15,277.4619192226549],[303.15,283.7063191083394],[308.15,289.95071899402393],[313.15,296.1951188797085],[318.15,302.4395187653931],[323.15,308.68391865107765]],"least_by_temperature":[],"kelvin":290.15}],"allowed_s":null,"wait_s":null,"does":"set pressure","moves":[]},{"id":"air-w3","stage":"Pressures","title":"Set wheel W3: 2.56 bar at 17 °C, by Red gauge","what":["Take the tyre''s own temperature first. One figure does for all tyres that lie together.","At 17 °C set 2.56 bar on Red gauge (true 2.51 bar; it reads 0.05 bar too high); at another temperature set what the table says.","If the tyres have been driven or stand in the sun, wait: a hot tyre is never let down to a cold figure."],"why":"So that it reads 2.20 bar at -9 °C, where the car is used.","where":"rear left","expect":"2.56 bar ± 0.05 at 17 °C, else the table''s figure","evidence":["gauge"],"minutes":3,"if_fails":"A figure that falls while you watch is a leak: soap the valve, the beads and the tread.","basis":{"ground":"owner''s word","source":"garage file"},"cautions":["Stand aside of the sidewall, use a clip-on chuck and a gauge you trust, and never pass the tyre''s or the rim''s marked maximum. A tyre with a bulge, showing cord, or driven flat is not inflated ''to see'': it goes to a workshop."],"waits_for":[],"lock":false,"timed":"","optional":false,"asks":[{"id":"temperature","kind":"temperature","label":"The tyre''s own temperature (planned for 17 °C)","channel":"typed","tells":"tyre temperature","wheel":"","corner":"","options":[],"expect":"","bits":0,"kpa":null,"within_kpa":null,"words":false,"required":true,"names":[],"also":[],"beside":"","by_temperature":[],"least_by_temperature":[],"kelvin":290.15},{"id":"pressure-w3","kind":"pressure","label":"Gauge at wheel W3","channel":"gauge","tells":"set pressure","wheel":"W3","corner":"","options":[],"expect":"","bits":0,"kpa":256.48659017595526,"within_kpa":5.0,"words":false,"required":true,"names":[],"also":[],"beside":"","by_temperature":[[233.14999999999998,225.00000000000003],[238.14999999999998,225.00000000000003],[243.14999999999998,225.00000000000003],[248.14999999999998,225.00000000000003],[253.14999999999998,225.00000000000003],[258.15,225.00000000000003],[263.15,225.00000000000003],[264.15,225.00000000000003],[268.15,229.8440907963008],[273.15,235.89920429167682],[278.15,241.95431778705284],[283.15,248.00943128242886],[285.15,250.4314766805793],[288.15,254.06454477780488],[290.15,256.48659017595526],[293.15,260.11965827318085],[298.15,266.1747717685569],[303.15,272.2298852639329],[308.15,278.28499875930896],[313.15,284.3401122546849],[318.15,290.39522575006094],[323.15,296.45033924543696]],"least_by_temperature":[],"kelvin":290.15}],"allowed_s":null,"wait_s":null,"does":"set pressure","moves":[]},{"id":"air-w4","stage":"Pressures","title":"Set wheel W4: 2.56 bar at 17 °C, by Red gauge","what":["Take the tyre''s own temperature first. One figure does for all tyres that lie together.","At 17 °C set 2.56 bar on Red gauge (true 2.51 bar; it reads 0.05 bar too high); at another temperature set what the table says.","If the tyres have been driven or stand in the sun, wait: a hot tyre is never let down to a cold figure."],"why":"So that it reads 2.20 bar at -9 °C, where the car is used.","where":"rear right","expect":"2.56 bar ± 0.05 at 17 °C, else the table''s figure","evidence":["gauge"],"minutes":3,"if_fails":"A figure that falls while you watch is a leak: soap the valve, the beads and the tread.","basis":{"ground":"owner''s word","source":"garage file"},"cautions":["Stand aside of the sidewall, use a clip-on chuck and a gauge you trust, and never pass the tyre''s or the rim''s marked maximum. A tyre with a bulge, showing cord, or driven flat is not inflated ''to see'': it goes to a workshop."],"waits_for":[],"lock":false,"timed":"","optional":false,"asks":[{"id":"temperature","kind":"temperature","label":"The tyre''s own temperature (planned for 17 °C)","channel":"typed","tells":"tyre temperature","wheel":"","corner":"","options":[],"expect":"","bits":0,"kpa":null,"within_kpa":null,"words":false,"required":true,"names":[],"also":[],"beside":"","by_temperature":[],"least_by_temperature":[],"kelvin":290.15},{"id":"pressure-w4","kind":"pressure","label":"Gauge at wheel W4","channel":"gauge","tells":"set pressure","wheel":"W4","corner":"","options":[],"expect":"","bits":0,"kpa":256.48659017595526,"within_kpa":5.0,"words":false,"required":true,"names":[],"also":[],"beside":"","by_temperature":[[233.14999999999998,225.00000000000003],[238.14999999999998,225.00000000000003],[243.14999999999998,225.00000000000003],[248.14999999999998,225.00000000000003],[253.14999999999998,225.00000000000003],[258.15,225.00000000000003],[263.15,225.00000000000003],[264.15,225.00000000000003],[268.15,229.8440907963008],[273.15,235.89920429167682],[278.15,241.95431778705284],[283.15,248.00943128242886],[285.15,250.4314766805793],[288.15,254.06454477780488],[290.15,256.48659017595526],[293.15,260.11965827318085],[298.15,266.1747717685569],[303.15,272.2298852639329],[308.15,278.28499875930896],[313.15,284.3401122546849],[318.15,290.39522575006094],[323.15,296.45033924543696]],"least_by_temperature":[],"kelvin":290.15}],"allowed_s":null,"wait_s":null,"does":"set pressure","moves":[]},{"id":"wake-w1","stage":"Wake and teach","title":"Wake wheel W1","what":["Trigger it at its corner."],"why":"A sensor fresh from storage may sleep until it feels pressure, a trigger or the road.","where":"front left","expect":"it sends 70D6 10FE (decimal 1 893 077 246), pressure 2.62 bar within 0.10 bar","evidence":["trigger"],"minutes":1,"if_fails":"Let out 0.50 bar quickly and put it back, wait a minute, try again; else drive ten minutes first. Only then is it silent.","basis":{"ground":"common practice","source":"no source"},"cautions":[],"waits_for":[],"lock":false,"timed":"","optional":false,"asks":[{"id":"id-w1","kind":"id","label":"ID that wheel W1 sends","channel":"trigger","tells":"awake at its corner","wheel":"W1","corner":"","options":[],"expect":"70D610FE","bits":32,"kpa":null,"within_kpa":null,"words":false,"required":true,"names":[],"also":[],"beside":"","by_temperature":[],"least_by_temperature":[],"kelvin":null}],"allowed_s":null,"wait_s":null,"does":"wake","moves":[]},{"id":"wake-w2","stage":"Wake and teach","title":"Wake wheel W2","what":["Trigger it at its corner."],"why":"A sensor fresh from storage may sleep until it feels pressure, a trigger or the road.","where":"front right","expect":"it sends 70D6 13F3 (decimal 1 893 078 003), pressure 2.62 bar within 0.10 bar","evidence":["trigger"],"minutes":1,"if_fails":"Let out 0.50 bar quickly and put it back, wait a minute, try again; else drive ten minutes first. Only then is it silent.","basis":{"ground":"common practice","source":"no source"},"cautions":[],"waits_for":[],"lock":false,"timed":"","optional":false,"asks":[{"id":"id-w2","kind":"id","label":"ID that wheel W2 sends","channel":"trigger","tells":"awake at its corner","wheel":"W2","corner":"","options":[],"expect":"70D613F3","bits":32,"kpa":null,"within_kpa":null,"words":false,"required":true,"names":[],"also":[],"beside":"","by_temperature":[],"least_by_temperature":[],"kelvin":null}],"allowed_s":null,"wait_s":null,"does":"wake","moves":[]},{"id":"wake-w3","stage":"Wake and teach","title":"Wake wheel W3","what":["Trigger it at its corner."],"why":"A sensor fresh from storage may sleep until it feels pressure, a trigger or the road.","where":"rear left","expect":"it sends 8C0B 1F52 (decimal 2 349 539 154), pressure 2.51 bar within 0.10 bar","evidence":["trigger"],"minutes":1,"if_fails":"Let out 0.50 bar quickly and put it back, wait a minute, try again; else drive ten minutes first. Only then is it silent.","basis":{"ground":"common practice","source":"no source"},"cautions":[],"waits_for":[],"lock":false,"timed":"","optional":false,"asks":[{"id":"id-w3","kind":"id","label":"ID that wheel W3 sends","channel":"trigger","tells":"awake at its corner","wheel":"W3","corner":"","options":[],"expect":"8C0B1F52","bits":32,"kpa":null,"within_kpa":null,"words":false,"required":true,"names":[],"also":[],"beside":"","by_temperature":[],"least_by_temperature":[],"kelvin":null}],"allowed_s":null,"wait_s":null,"does":"wake","moves":[]},{"id":"wake-w4","stage":"Wake and teach","title":"Wake wheel W4","what":["Trigger it at its corner."],"why":"A sensor fresh from storage may sleep until it feels pressure, a trigger or the road.","where":"rear right","expect":"it sends F5BD 3639 (decimal 4 122 818 105), pressure 2.51 bar within 0.10 bar","evidence":["trigger"],"minutes":1,"if_fails":"Let out 0.50 bar quickly and put it back, wait a minute, try again; else drive ten minutes first. Only then is it silent.","basis":{"ground":"common practice","source":"no source"},"cautions":[],"waits_for":[],"lock":false,"timed":"","optional":false,"asks":[{"id":"id-w4","kind":"id","label":"ID that wheel W4 sends","channel":"trigger","tells":"awake at its corner","wheel":"W4","corner":"","options":[],"expect":"F5BD3639","bits":32,"kpa":null,"within_kpa":null,"words":false,"required":true,"names":[],"also":[],"beside":"","by_temperature":[],"least_by_temperature":[],"kelvin":null}],"allowed_s":null,"wait_s":null,"does":"wake","moves":[]},{"id":"choose-list","stage":"Wake and teach","title":"Choose the list that Winter set goes into","what":["Choose an empty list. In use: 1 of 2 (Summer set).","No such menu: say so, and go on; then look at the end whether the car still knows Summer set."],"why":"The car writes into the list that is chosen, and what is there is gone: Summer set would have to be taught again.","where":"in the menu of Estate","expect":"the list that is chosen is not one of a set that is to be kept","evidence":["typed"],"minutes":2,"if_fails":"A list that is to be kept is chosen: do not begin teaching; choose another one first.","basis":{"ground":"owner''s word","source":"read with the adapter, 2 November 2026"},"cautions":[],"waits_for":[],"lock":false,"timed":"","optional":false,"asks":[{"id":"list","kind":"pick","label":"The list that is chosen","channel":"typed","tells":"","wheel":"","corner":"","options":["empty-list","own-list","list-given-up","no-menu","list-to-keep"],"expect":"empty-list","bits":0,"kpa":null,"within_kpa":null,"words":false,"required":true,"names":[],"also":["no-menu"],"beside":"","by_temperature":[],"least_by_temperature":[],"kelvin":null}],"allowed_s":null,"wait_s":null,"does":"choose list","moves":[]},{"id":"clear-the-air","stage":"Wake and teach","title":"Move other wheels away","what":["Carry these out of earshot, or drive the car away from them: Summer set (just taken off), All-year set (on Runabout).","Nothing in the boot: a set carried there is heard better than the wheels."],"why":"A car that is being taught takes what it hears, its own wheels or not.","where":"around Estate at Carport, twenty metres and more","expect":"no other sensor of this family within earshot","evidence":["typed"],"minutes":5,"if_fails":"Where they can''t be moved, teach somewhere else.","basis":{"ground":"common practice","source":"no source"},"cautions":[],"waits_for":[],"lock":false,"timed":"","optional":false,"asks":[{"id":"done","kind":"done","label":"No other sensor of this family is within earshot","channel":"typed","tells":"","wheel":"","corner":"","options":[],"expect":"","bits":0,"kpa":null,"within_kpa":null,"words":false,"required":true,"names":[],"also":[],"beside":"","by_temperature":[],"least_by_temperature":[],"kelvin":null}],"allowed_s":null,"wait_s":null,"does":"clear the air","moves":[]},{"id":"rest","stage":"Wake and teach","title":"Let the car stand 20 minutes","what":["Ignition off, doors shut, nothing moved."],"why":"It begins to learn only after a rest.","where":"Estate","expect":"it has stood undisturbed","evidence":["typed"],"minutes":20,"if_fails":"If it was moved, begin the rest again.","basis":{"ground":"owner''s word","source":"garage file"},"cautions":[],"waits_for":[],"lock":false,"timed":"","optional":false,"asks":[{"id":"done","kind":"done","label":"It has stood undisturbed","channel":"typed","tells":"","wheel":"","corner":"","options":[],"expect":"","bits":0,"kpa":null,"within_kpa":null,"words":false,"required":true,"names":[],"also":[],"beside":"","by_temperature":[],"least_by_temperature":[],"kelvin":null}],"allowed_s":null,"wait_s":1200.0,"does":"rest","moves":[]},{"id":"teach-begin","stage":"Wake and teach","title":"Put the car into teaching","what":["Read through to the end of this group first; the trigger is charged and in hand.","Steady supply, ignition as the handbook says, then start teaching."],"why":"The car does not know these IDs, or not at these corners.","where":"Estate","expect":"the car confirms; time allowed: 2 min for each wheel and 5 min in all","evidence":["typed"],"minutes":2,"if_fails":"No confirmation: the car was not at rest, or its supply is low. Wait, then begin again.","basis":{"ground":"owner''s word","source":"garage file"},"cautions":["On this car a broken-off teaching empties the list: do not begin unless you can finish."],"waits_for":["choose-list","clear-the-air","rest","wake-w1","wake-w2","wake-w3","wake-w4"],"lock":false,"timed":"teaching","optional":false,"asks":[{"id":"confirms","kind":"pick","label":"The car confirms that it is being taught","channel":"typed","tells":"","wheel":"","corner":"","options":["yes","no"],"expect":"yes","bits":0,"kpa":null,"within_kpa":null,"words":false,"required":true,"names":[],"also":[],"beside":"","by_temperature":[],"least_by_temperature":[],"kelvin":null}],"allowed_s":300.0,"wait_s":null,"does":"begin teaching","moves":[]},{"id":"teach-w1","stage":"Wake and teach","title":"Teach 1: front left, wheel W1","what":["Trigger it beside the valve and wait for the car''s confirmation."],"why":"The order tells the car which corner it is.","where":"front left, left and right as from the driver''s seat","expect":"the car confirms; the trigger shows 70D6 10FE (decimal 1 893 077 246)","evidence":["trigger"],"minutes":1,"if_fails":"Another ID answers: a wheel is at the wrong corner or another one is near. Finish or stop as the handbook says, then begin again.","basis":{"ground":"owner''s word","source":"garage file"},"cautions":[],"waits_for":["teach-begin"],"lock":false,"timed":"teaching","optional":false,"asks":[{"id":"confirms","kind":"pick","label":"The car confirms this wheel","channel":"typed","tells":"taught","wheel":"W1","corner":"","options":["yes","no"],"expect":"yes","bits":0,"kpa":null,"within_kpa":null,"words":false,"required":true,"names":[],"also":[],"beside":"","by_temperature":[],"least_by_temperature":[],"kelvin":null},{"id":"id-w1","kind":"id","label":"ID that wheel W1 sends","channel":"trigger","tells":"awake at its corner","wheel":"W1","corner":"","options":[],"expect":"70D610FE","bits":32,"kpa":null,"within_kpa":null,"words":false,"required":false,"names":[],"also":[],"beside":"","by_temperature":[],"least_by_temperature":[],"kelvin":null}],"allowed_s":120.0,"wait_s":null,"does":"teach wheel","moves":[]},{"id":"teach-w2","stage":"Wake and teach","title":"Teach 2: front right, wheel W2","what":["Trigger it beside the valve and wait for the car''s confirmation."],"why":"The order tells the car which corner it is.","where":"front right, left and right as from the driver''s seat","expect":"the car confirms; the trigger shows 70D6 13F3 (decimal 1 893 078 003)","evidence":["trigger"],"minutes":1,"if_fails":"Another ID answers: a wheel is at the wrong corner or another one is near. Finish or stop as the handbook says, then begin again.","basis":{"ground":"owner''s word","source":"garage file"},"cautions":[],"waits_for":["teach-begin"],"lock":false,"timed":"teaching","optional":false,"asks":[{"id":"confirms","kind":"pick","label":"The car confirms this wheel","channel":"typed","tells":"taught","wheel":"W2","corner":"","options":["yes","no"],"expect":"yes","bits":0,"kpa":null,"within_kpa":null,"words":false,"required":true,"names":[],"also":[],"beside":"","by_temperature":[],"least_by_temperature":[],"kelvin":null},{"id":"id-w2","kind":"id","label":"ID that wheel W2 sends","channel":"trigger","tells":"awake at its corner","wheel":"W2","corner":"","options":[],"expect":"70D613F3","bits":32,"kpa":null,"within_kpa":null,"words":false,"required":false,"names":[],"also":[],"beside":"","by_temperature":[],"least_by_temperature":[],"kelvin":null}],"allowed_s":120.0,"wait_s":null,"does":"teach wheel","moves":[]},{"id":"teach-w4","stage":"Wake and teach","title":"Teach 3: rear right, wheel W4","what":["Trigger it beside the valve and wait for the car''s confirmation."],"why":"The order tells the car which corner it is.","where":"rear right, left and right as from the driver''s seat","expect":"the car confirms; the trigger shows F5BD 3639 (decimal 4 122 818 105)","evidence":["trigger"],"minutes":1,"if_fails":"Another ID answers: a wheel is at the wrong corner or another one is near. Finish or stop as the handbook says, then begin again.","basis":{"ground":"owner''s word","source":"garage file"},"cautions":[],"waits_for":["teach-begin"],"lock":false,"timed":"teaching","optional":false,"asks":[{"id":"confirms","kind":"pick","label":"The car confirms this wheel","channel":"typed","tells":"taught","wheel":"W4","corner":"","options":["yes","no"],"expect":"yes","bits":0,"kpa":null,"within_kpa":null,"words":false,"required":true,"names":[],"also":[],"beside":"","by_temperature":[],"least_by_temperature":[],"kelvin":null},{"id":"id-w4","kind":"id","label":"ID that wheel W4 sends","channel":"trigger","tells":"awake at its corner","wheel":"W4","corner":"","options":[],"expect":"F5BD3639","bits":32,"kpa":null,"within_kpa":null,"words":false,"required":false,"names":[],"also":[],"beside":"","by_temperature":[],"least_by_temperature":[],"kelvin":null}],"allowed_s":120.0,"wait_s":null,"does":"teach wheel","moves":[]},{"id":"teach-w3","stage":"Wake and teach","title":"Teach 4: rear left, wheel W3","what":["Trigger it beside the valve and wait for the car''s confirmation."],"why":"The order tells the car which corner it is.","where":"rear left, left and right as from the driver''s seat","expect":"the car confirms; the trigger shows 8C0B 1F52 (decimal 2 349 539 154)","evidence":["trigger"],"minutes":1,"if_fails":"Another ID answers: a wheel is at the wrong corner or another one is near. Finish or stop as the handbook says, then begin again.","basis":{"ground":"owner''s word","source":"garage file"},"cautions":[],"waits_for":["teach-begin"],"lock":false,"timed":"teaching","optional":false,"asks":[{"id":"confirms","kind":"pick","label":"The car confirms this wheel","channel":"typed","tells":"taught","wheel":"W3","corner":"","options":["yes","no"],"expect":"yes","bits":0,"kpa":null,"within_kpa":null,"words":false,"required":true,"names":[],"also":[],"beside":"","by_temperature":[],"least_by_temperature":[],"kelvin":null},{"id":"id-w3","kind":"id","label":"ID that wheel W3 sends","channel":"trigger","tells":"awake at its corner","wheel":"W3","corner":"","options":[],"expect":"8C0B1F52","bits":32,"kpa":null,"within_kpa":null,"words":false,"required":false,"names":[],"also":[],"beside":"","by_temperature":[],"least_by_temperature":[],"kelvin":null}],"allowed_s":120.0,"wait_s":null,"does":"teach wheel","moves":[]},{"id":"drive","stage":"Drive and look","title":"Drive 15 minutes above 30 km/h","what":["In one piece, with few stops, all of it above 30 km/h where the road allows.","A passenger watches the lamp, or you look once parked."],"why":"Sensors send about once a minute while rolling, and the car judges only after a while.","where":"on a road that allows it","expect":"the lamp stays off, or goes out if it was lit; every corner shows a pressure","evidence":["typed"],"minutes":15,"if_fails":"Flashing, then steady: a wheel is not heard. Steady from the start: gauge first. Note which, and when it began.","basis":{"ground":"owner''s word","source":"garage file"},"cautions":["The driver does not look at screens. A passenger watches the lamp, or you look when parked.","If the lamp comes on while driving: slow down, stop where it is safe, look and gauge before anything electronic."],"waits_for":["label","torque","carry-away","air-w1","air-w2","air-w3","air-w4","wake-w1","wake-w2","wake-w3","wake-w4","choose-list","clear-the-air","rest","teach-begin","teach-w1","teach-w2","teach-w4","teach-w3"],"lock":false,"timed":"","optional":false,"asks":[{"id":"minutes","kind":"minutes","label":"Minutes above 30 km/h in one piece","channel":"typed","tells":"minutes driven","wheel":"","corner":"","options":[],"expect":"15","bits":0,"kpa":null,"within_kpa":null,"words":false,"required":true,"names":[],"also":[],"beside":"","by_temperature":[],"least_by_temperature":[],"kelvin":null},{"id":"lamp","kind":"pick","label":"The lamp while driving","channel":"typed","tells":"lamp while driving","wheel":"","corner":"","options":["stays-off","was-lit-goes-out","flashes-goes-out","comes-on-goes-out","comes-and-goes","comes-on-stays","flashes-stays","was-lit-stays"],"expect":"stays-off","bits":0,"kpa":null,"within_kpa":null,"words":false,"required":true,"names":[],"also":["was-lit-goes-out"],"beside":"","by_temperature":[],"least_by_temperature":[],"kelvin":null},{"id":"out-after","kind":"minutes","label":"If it went out later: after how many minutes","channel":"typed","tells":"minutes until the lamp went out","wheel":"","corner":"","options":[],"expect":"","bits":0,"kpa":null,"within_kpa":null,"words":false,"required":false,"names":[],"also":[],"beside":"","by_temperature":[],"least_by_temperature":[],"kelvin":null}],"allowed_s":null,"wait_s":900.0,"does":"drive","moves":[]},{"id":"second-start","stage":"Drive and look","title":"Switch off, wait, switch on again","what":["Park, ignition off for a minute, on again: watch the lamp light and go out."],"why":"Two ignition cycles after a full drive are what evidence level E2 asks for.","where":"parked","expect":"the lamp lights at ignition-on and goes out","evidence":["photo","typed"],"minutes":3,"if_fails":"A lamp that stays: read the codes, and do not drive on by habit.","basis":{"ground":"common practice","source":"no source"},"cautions":[],"waits_for":["drive"],"lock":false,"timed":"","optional":false,"asks":[{"id":"lamp","kind":"pick","label":"The lamp at ignition-on","channel":"typed","tells":"lamp at the second start","wheel":"","corner":"","options":["lights-goes-out","lights-stays","flashes-stays","goes-out-late","comes-and-goes","never-lights"],"expect":"lights-goes-out","bits":0,"kpa":null,"within_kpa":null,"words":false,"required":true,"names":[],"also":[],"beside":"","by_temperature":[],"least_by_temperature":[],"kelvin":null},{"id":"out-after","kind":"minutes","label":"If it went out later: after how many minutes","channel":"typed","tells":"minutes until the lamp went out","wheel":"","corner":"","options":[],"expect":"","bits":0,"kpa":null,"within_kpa":null,"words":false,"required":false,"names":[],"also":[],"beside":"","by_temperature":[],"least_by_temperature":[],"kelvin":null},{"id":"photo","kind":"photo","label":"Photo of the dash after a few seconds","channel":"photo","tells":"","wheel":"","corner":"","options":[],"expect":"","bits":0,"kpa":null,"within_kpa":null,"words":false,"required":false,"names":[],"also":[],"beside":"","by_temperature":[],"least_by_temperature":[],"kelvin":null}],"allowed_s":null,"wait_s":null,"does":"start again","moves":[]},{"id":"codes-after","stage":"Drive and look","title":"Read the codes and the car''s list","what":["Read stored and pending codes of the one unit, and its list of IDs where it can be read. Compare with those from before."],"why":"A code that came today is today''s work.","where":"parked, ignition on","expect":"no new code; the list is just the fitted IDs","evidence":["port"],"minutes":6,"if_fails":"Save what is there before clearing anything.","basis":{"ground":"common practice","source":"no source"},"cautions":["Read and save first. Clear nothing in a brake, airbag or steering unit; ignition on, engine off, steady supply. The handbook, local rules and a licensed workshop go before this sheet."],"waits_for":["second-start"],"lock":false,"timed":"","optional":false,"asks":[{"id":"codes","kind":"pick","label":"Stored and pending codes","channel":"port","tells":"codes after","wheel":"","corner":"","options":["none","some","not read"],"expect":"none","bits":0,"kpa":null,"within_kpa":null,"words":true,"required":true,"names":[],"also":[],"beside":"","by_temperature":[],"least_by_temperature":[],"kelvin":null},{"id":"lamp","kind":"pick","label":"The lamp as the car tells it, parked","channel":"port","tells":"lamp as the car tells it","wheel":"","corner":"","options":["off","steady","flashing","not told"],"expect":"off","bits":0,"kpa":null,"within_kpa":null,"words":false,"required":false,"names":[],"also":[],"beside":"","by_temperature":[],"least_by_temperature":[],"kelvin":null}],"allowed_s":null,"wait_s":null,"does":"read codes","moves":[]},{"id":"ids-heard","stage":"Prove it","title":"Hold the fitted IDs against the plan","what":["From the car''s list where it can be read. Triggering shows what the wheels send, not what the car hears:","front left: 70D6 10FE (decimal 1 893 077 246)","front right: 70D6 13F3 (decimal 1 893 078 003)","rear left: 8C0B 1F52 (decimal 2 349 539 154)","rear right: F5BD 3639 (decimal 4 122 818 105)"],"why":"A lamp that is off may be off because another wheel answered.","where":"parked, other wheels out of earshot","expect":"just these IDs, each at its corner","evidence":["port","trigger"],"minutes":5,"if_fails":"A stranger or a swapped corner: look at the tags, and have the car taught away from other wheels.","basis":{"ground":"computed","source":"identity plan"},"cautions":[],"waits_for":["second-start"],"lock":false,"timed":"","optional":false,"asks":[{"id":"list","kind":"pick","label":"The IDs that the car holds, or that a receiver heard while driving, against those above","channel":"port","tells":"IDs in the car''s list","wheel":"","corner":"","options":["just these, each at its corner","just these, corners not shown","just these, heard by a receiver","just these, some at another corner","others too, or some missing","can''t be read"],"expect":"just these, each at its corner","bits":0,"kpa":null,"within_kpa":null,"words":true,"required":true,"names":[],"also":[],"beside":"","by_temperature":[],"least_by_temperature":[],"kelvin":null}],"allowed_s":null,"wait_s":null,"does":"compare IDs","moves":[]},{"id":"corner-w1","stage":"Prove it","title":"See that front left is front left","what":["Parked, gauge this wheel and write down what the gauge reads: the tyre is warm, so no cold figure holds now.","Note the four figures on the dash.","Let out 0.40 bar at this wheel, not below 1.50 bar.","Wait up to three minutes, and note which figure moved."],"why":"Only a change at one wheel shows which figure is its own.","where":"front left, wheel W1, parked","expect":"the figure for front left falls by 0.30 bar to 0.50 bar, and no other moves","evidence":["gauge","typed"],"minutes":5,"if_fails":"Another figure moves: the corners are swapped; inflate, look at the tags, then have the car taught in the right order. None moves: the sensor may send only while rolling; inflate, and look again after a drive.","basis":{"ground":"common practice","source":"no source"},"cautions":["Standing, or unladen under 50 km/h on a quiet road; never below 1.5 bar (22 psi, 150 kPa); inflate again at once and gauge it before any other drive."],"waits_for":["ids-heard"],"lock":false,"timed":"","optional":false,"asks":[{"id":"pressure-w1","kind":"pressure","label":"Gauge at wheel W1, before letting out","channel":"gauge","tells":"","wheel":"W1","corner":"","options":[],"expect":"","bits":0,"kpa":null,"within_kpa":null,"words":false,"required":true,"names":[],"also":[],"beside":"","by_temperature":[],"least_by_temperature":[],"kelvin":null},{"id":"moved","kind":"pick","label":"Which figure moved","channel":"typed","tells":"corner that moved","wheel":"W1","corner":"","options":["front left","front right","rear left","rear right","none"],"expect":"front left","bits":0,"kpa":null,"within_kpa":null,"words":false,"required":true,"names":[],"also":[],"beside":"","by_temperature":[],"least_by_temperature":[],"kelvin":null}],"allowed_s":null,"wait_s":null,"does":"show corner","moves":[]},{"id":"corner-back-w1","stage":"Prove it","title":"Inflate wheel W1 again and gauge it","what":["Back to what the gauge read before letting out, not to the cold figure.","Let no more out of a warm tyre than went in."],"why":"No other corner is tried, and nobody drives, while this one is low.","where":"front left, wheel W1","expect":"the gauge reads what it did before, within 0.05 bar","evidence":["gauge"],"minutes":3,"if_fails":"A tyre that does not come back to its pressure is leaking: do not drive on it.","basis":{"ground":"common practice","source":"no source"},"cautions":["Stand aside of the sidewall, use a clip-on chuck and a gauge you trust, and never pass the tyre''s or the rim''s marked maximum. A tyre with a bulge, showing cord, or driven flat is not inflated ''to see'': it goes to a workshop."],"waits_for":["corner-w1"],"lock":true,"timed":"","optional":false,"asks":[{"id":"pressure-w1","kind":"pressure","label":"Gauge at wheel W1","channel":"gauge","tells":"pressure after the corner was tried","wheel":"W1","corner":"","options":[],"expect":"","bits":0,"kpa":null,"within_kpa":5.0,"words":false,"required":true,"names":[],"also":[],"beside":"corner-w1/pressure-w1","by_temperature":[],"least_by_temperature":[],"kelvin":null}],"allowed_s":null,"wait_s":null,"does":"fill corner","moves":[]},{"id":"corner-w2","stage":"Prove it","title":"See that front right is front right","what":["Parked, gauge this wheel and write down what the gauge reads: the tyre is warm, so no cold figure holds now.","Note the four figures on the dash.","Let out 0.40 bar at this wheel, not below 1.50 bar.","Wait up to three minutes, and note which figure moved."],"why":"Only a change at one wheel shows which figure is its own.","where":"front right, wheel W2, parked","expect":"the figure for front right falls by 0.30 bar to 0.50 bar, and no other moves","evidence":["gauge","typed"],"minutes":5,"if_fails":"Another figure moves: the corners are swapped; inflate, look at the tags, then have the car taught in the right order. None moves: the sensor may send only while rolling; inflate, and look again after a drive.","basis":{"ground":"common practice","source":"no source"},"cautions":["Standing, or unladen under 50 km/h on a quiet road; never below 1.5 bar (22 psi, 150 kPa); inflate again at once and gauge it before any other drive."],"waits_for":["ids-heard"],"lock":false,"timed":"","optional":false,"asks":[{"id":"pressure-w2","kind":"pressure","label":"Gauge at wheel W2, before letting out","channel":"gauge","tells":"","wheel":"W2","corner":"","options":[],"expect":"","bits":0,"kpa":null,"within_kpa":null,"words":false,"required":true,"names":[],"also":[],"beside":"","by_temperature":[],"least_by_temperature":[],"kelvin":null},{"id":"moved","kind":"pick","label":"Which figure moved","channel":"typed","tells":"corner that moved","wheel":"W2","corner":"","options":["front left","front right","rear left","rear right","none"],"expect":"front right","bits":0,"kpa":null,"within_kpa":null,"words":false,"required":true,"names":[],"also":[],"beside":"","by_temperature":[],"least_by_temperature":[],"kelvin":null}],"allowed_s":null,"wait_s":null,"does":"show corner","moves":[]},{"id":"corner-back-w2","stage":"Prove it","title":"Inflate wheel W2 again and gauge it","what":["Back to what the gauge read before letting out, not to the cold figure.","Let no more out of a warm tyre than went in."],"why":"No other corner is tried, and nobody drives, while this one is low.","where":"front right, wheel W2","expect":"the gauge reads what it did before, within 0.05 bar","evidence":["gauge"],"minutes":3,"if_fails":"A tyre that does not come back to its pressure is leaking: do not drive on it.","basis":{"ground":"common practice","source":"no source"},"cautions":["Stand aside of the sidewall, use a clip-on chuck and a gauge you trust, and never pass the tyre''s or the rim''s marked maximum. A tyre with a bulge, showing cord, or driven flat is not inflated ''to see'': it goes to a workshop."],"waits_for":["corner-w2"],"lock":true,"timed":"","optional":false,"asks":[{"id":"pressure-w2","kind":"pressure","label":"Gauge at wheel W2","channel":"gauge","tells":"pressure after the corner was tried","wheel":"W2","corner":"","options":[],"expect":"","bits":0,"kpa":null,"within_kpa":5.0,"words":false,"required":true,"names":[],"also":[],"beside":"corner-w2/pressure-w2","by_temperature":[],"least_by_temperature":[],"kelvin":null}],"allowed_s":null,"wait_s":null,"does":"fill corner","moves":[]},{"id":"corner-w3","stage":"Prove it","title":"See that rear left is rear left","what":["Parked, gauge this wheel and write down what the gauge reads: the tyre is warm, so no cold figure holds now.","Note the four figures on the dash.","Let out 0.40 bar at this wheel, not below 1.50 bar.","Wait up to three minutes, and note which figure moved."],"why":"Only a change at one wheel shows which figure is its own.","where":"rear left, wheel W3, parked","expect":"the figure for rear left falls by 0.30 bar to 0.50 bar, and no other moves","evidence":["gauge","typed"],"minutes":5,"if_fails":"Another figure moves: the corners are swapped; inflate, look at the tags, then have the car taught in the right order. None moves: the sensor may send only while rolling; inflate, and look again after a drive.","basis":{"ground":"common practice","source":"no source"},"cautions":["Standing, or unladen under 50 km/h on a quiet road; never below 1.5 bar (22 psi, 150 kPa); inflate again at once and gauge it before any other drive."],"waits_for":["ids-heard"],"lock":false,"timed":"","optional":false,"asks":[{"id":"pressure-w3","kind":"pressure","label":"Gauge at wheel W3, before letting out","channel":"gauge","tells":"","wheel":"W3","corner":"","options":[],"expect":"","bits":0,"kpa":null,"within_kpa":null,"words":false,"required":true,"names":[],"also":[],"beside":"","by_temperature":[],"least_by_temperature":[],"kelvin":null},{"id":"moved","kind":"pick","label":"Which figure moved","channel":"typed","tells":"corner that moved","wheel":"W3","corner":"","options":["front left","front right","rear left","rear right","none"],"expect":"rear left","bits":0,"kpa":null,"within_kpa":null,"words":false,"required":true,"names":[],"also":[],"beside":"","by_temperature":[],"least_by_temperature":[],"kelvin":null}],"allowed_s":null,"wait_s":null,"does":"show corner","moves":[]},{"id":"corner-back-w3","stage":"Prove it","title":"Inflate wheel W3 again and gauge it","what":["Back to what the gauge read before letting out, not to the cold figure.","Let no more out of a warm tyre than went in."],"why":"No other corner is tried, and nobody drives, while this one is low.","where":"rear left, wheel W3","expect":"the gauge reads what it did before, within 0.05 bar","evidence":["gauge"],"minutes":3,"if_fails":"A tyre that does not come back to its pressure is leaking: do not drive on it.","basis":{"ground":"common practice","source":"no source"},"cautions":["Stand aside of the sidewall, use a clip-on chuck and a gauge you trust, and never pass the tyre''s or the rim''s marked maximum. A tyre with a bulge, showing cord, or driven flat is not inflated ''to see'': it goes to a workshop."],"waits_for":["corner-w3"],"lock":true,"timed":"","optional":false,"asks":[{"id":"pressure-w3","kind":"pressure","label":"Gauge at wheel W3","channel":"gauge","tells":"pressure after the corner was tried","wheel":"W3","corner":"","options":[],"expect":"","bits":0,"kpa":null,"within_kpa":5.0,"words":false,"required":true,"names":[],"also":[],"beside":"corner-w3/pressure-w3","by_temperature":[],"least_by_temperature":[],"kelvin":null}],"allowed_s":null,"wait_s":null,"does":"fill corner","moves":[]},{"id":"corner-w4","stage":"Prove it","title":"See that rear right is rear right","what":["Parked, gauge this wheel and write down what the gauge reads: the tyre is warm, so no cold figure holds now.","Note the four figures on the dash.","Let out 0.40 bar at this wheel, not below 1.50 bar.","Wait up to three minutes, and note which figure moved."],"why":"Only a change at one wheel shows which figure is its own.","where":"rear right, wheel W4, parked","expect":"the figure for rear right falls by 0.30 bar to 0.50 bar, and no other moves","evidence":["gauge","typed"],"minutes":5,"if_fails":"Another figure moves: the corners are swapped; inflate, look at the tags, then have the car taught in the right order. None moves: the sensor may send only while rolling; inflate, and look again after a drive.","basis":{"ground":"common practice","source":"no source"},"cautions":["Standing, or unladen under 50 km/h on a quiet road; never below 1.5 bar (22 psi, 150 kPa); inflate again at once and gauge it before any other drive."],"waits_for":["ids-heard"],"lock":false,"timed":"","optional":false,"asks":[{"id":"pressure-w4","kind":"pressure","label":"Gauge at wheel W4, before letting out","channel":"gauge","tells":"","wheel":"W4","corner":"","options":[],"expect":"","bits":0,"kpa":null,"within_kpa":null,"words":false,"required":true,"names":[],"also":[],"beside":"","by_temperature":[],"least_by_temperature":[],"kelvin":null},{"id":"moved","kind":"pick","label":"Which figure moved","channel":"typed","tells":"corner that moved","wheel":"W4","corner":"","options":["front left","front right","rear left","rear right","none"],"expect":"rear right","bits":0,"kpa":null,"within_kpa":null,"words":false,"required":true,"names":[],"also":[],"beside":"","by_temperature":[],"least_by_temperature":[],"kelvin":null}],"allowed_s":null,"wait_s":null,"does":"show corner","moves":[]},{"id":"corner-back-w4","stage":"Prove it","title":"Inflate wheel W4 again and gauge it","what":["Back to what the gauge read before letting out, not to the cold figure.","Let no more out of a warm tyre than went in."],"why":"No other corner is tried, and nobody drives, while this one is low.","where":"rear right, wheel W4","expect":"the gauge reads what it did before, within 0.05 bar","evidence":["gauge"],"minutes":3,"if_fails":"A tyre that does not come back to its pressure is leaking: do not drive on it.","basis":{"ground":"common practice","source":"no source"},"cautions":["Stand aside of the sidewall, use a clip-on chuck and a gauge you trust, and never pass the tyre''s or the rim''s marked maximum. A tyre with a bulge, showing cord, or driven flat is not inflated ''to see'': it goes to a workshop."],"waits_for":["corner-w4"],"lock":true,"timed":"","optional":false,"asks":[{"id":"pressure-w4","kind":"pressure","label":"Gauge at wheel W4","channel":"gauge","tells":"pressure after the corner was tried","wheel":"W4","corner":"","options":[],"expect":"","bits":0,"kpa":null,"within_kpa":5.0,"words":false,"required":true,"names":[],"also":[],"beside":"corner-w4/pressure-w4","by_temperature":[],"least_by_temperature":[],"kelvin":null}],"allowed_s":null,"wait_s":null,"does":"fill corner","moves":[]},{"id":"challenge","stage":"Prove it","title":"Once a year: make the lamp come on","what":["Let one tyre down to just below the lamp''s limit on the air card, never below 1.50 bar.","Wait, or drive slowly, until the lamp comes on; inflate at once, gauge, and see it go out."],"why":"It is the only thing that shows the limit and the lamp itself (evidence level E5).","where":"parked, or a quiet road under 50 km/h, unladen","expect":"the lamp comes on steady, and goes out after inflating","evidence":["gauge","photo"],"minutes":30,"if_fails":"No lamp within 20 minutes: the limit or the lamp is in doubt; inflate, and have it looked at.","basis":{"ground":"common practice","source":"no source"},"cautions":["Standing, or unladen under 50 km/h on a quiet road; never below 1.5 bar (22 psi, 150 kPa); inflate again at once and gauge it before any other drive.","Stand aside of the sidewall, use a clip-on chuck and a gauge you trust, and never pass the tyre''s or the rim''s marked maximum. A tyre with a bulge, showing cord, or driven flat is not inflated ''to see'': it goes to a workshop."],"waits_for":[],"lock":false,"timed":"","optional":true,"asks":[{"id":"lit","kind":"pick","label":"The lamp came on, steady, below the limit","channel":"typed","tells":"lamp below the limit","wheel":"","corner":"","options":["yes","no"],"expect":"yes","bits":0,"kpa":null,"within_kpa":null,"words":false,"required":true,"names":[],"also":[],"beside":"","by_temperature":[],"least_by_temperature":[],"kelvin":null},{"id":"out","kind":"pick","label":"It went out after inflating","channel":"typed","tells":"lamp after inflating","wheel":"","corner":"","options":["yes","no"],"expect":"yes","bits":0,"kpa":null,"within_kpa":null,"words":false,"required":true,"names":[],"also":[],"beside":"","by_temperature":[],"least_by_temperature":[],"kelvin":null},{"id":"photo","kind":"photo","label":"Photo of the lit lamp","channel":"photo","tells":"","wheel":"","corner":"","options":[],"expect":"","bits":0,"kpa":null,"within_kpa":null,"words":false,"required":false,"names":[],"also":[],"beside":"","by_temperature":[],"least_by_temperature":[],"kelvin":null}],"allowed_s":null,"wait_s":null,"does":"challenge","moves":[]},{"id":"retorque","stage":"Afterwards","title":"Torque again after 50 to 100 km","what":["Cold, on the ground, crosswise, to 120 Nm; note whether any fastener moved."],"why":"Faces settle, and a joint that has settled clamps less.","where":"all four corners","expect":"no fastener moves","evidence":["typed"],"minutes":8,"if_fails":"One that moves by more than about 15 degrees: look at its seat, and do it again after another 50 km.","basis":{"ground":"standard","source":"BS AU 50-2-7a:1995 has 40 to 80 km; 50 to 100 km common practice; 15 degrees judgement"},"cautions":["Right seat shape, thread and length; count the turns by hand; clean dry bare faces, no grease. The last turn with a torque wrench on the ground, never an impact gun. Stretched or rusty fasteners are not used again. The handbook, local rules and a licensed workshop go before this sheet."],"waits_for":[],"lock":false,"timed":"","optional":false,"asks":[{"id":"moved","kind":"pick","label":"Did any fastener move","channel":"typed","tells":"","wheel":"","corner":"","options":["none moved","some moved"],"expect":"none moved","bits":0,"kpa":null,"within_kpa":null,"words":true,"required":true,"names":[],"also":[],"beside":"","by_temperature":[],"least_by_temperature":[],"kelvin":null}],"allowed_s":null,"wait_s":null,"does":"torque again","moves":[]},{"id":"store","stage":"Afterwards","title":"Store Summer set at Shed","what":["Wash and dry; note tread and damage wheel by wheel, and each pressure with the tyre''s temperature.","Leave them inflated; lay them flat, cool, dark and dry, away from motors and compressors.","Estate may hear it there (Shed, 6.0 m away behind wood); Runabout may hear it there (Shed, 6.0 m away behind wood). At rest its sensors: S1 transmits, S2 transmits, S3 transmits, S4 transmits. No ID of it is carried by the set that is on now."],"why":"Pressures noted now are a six-month leak test for nothing, and a set that lies elsewhere than planned breaks the plan.","where":"Shed","expect":"four pressures with temperatures in the record","evidence":["gauge","typed"],"minutes":20,"if_fails":"If it has to lie somewhere else, change the season line and plan again before the next drive.","basis":{"ground":"owner''s word","source":"both cars'' sensors were received in the shed, 3 October 2026"},"cautions":[],"waits_for":[],"lock":false,"timed":"","optional":false,"asks":[{"id":"pressure-s1","kind":"pressure","label":"Gauge at wheel S1","channel":"gauge","tells":"pressure when put away","wheel":"S1","corner":"","options":[],"expect":"","bits":0,"kpa":null,"within_kpa":null,"words":false,"required":true,"names":[],"also":[],"beside":"","by_temperature":[],"least_by_temperature":[],"kelvin":null},{"id":"pressure-s2","kind":"pressure","label":"Gauge at wheel S2","channel":"gauge","tells":"pressure when put away","wheel":"S2","corner":"","options":[],"expect":"","bits":0,"kpa":null,"within_kpa":null,"words":false,"required":true,"names":[],"also":[],"beside":"","by_temperature":[],"least_by_temperature":[],"kelvin":null},{"id":"pressure-s3","kind":"pressure","label":"Gauge at wheel S3","channel":"gauge","tells":"pressure when put away","wheel":"S3","corner":"","options":[],"expect":"","bits":0,"kpa":null,"within_kpa":null,"words":false,"required":true,"names":[],"also":[],"beside":"","by_temperature":[],"least_by_temperature":[],"kelvin":null},{"id":"pressure-s4","kind":"pressure","label":"Gauge at wheel S4","channel":"gauge","tells":"pressure when put away","wheel":"S4","corner":"","options":[],"expect":"","bits":0,"kpa":null,"within_kpa":null,"words":false,"required":true,"names":[],"also":[],"beside":"","by_temperature":[],"least_by_temperature":[],"kelvin":null},{"id":"temperature","kind":"temperature","label":"The tyres'' own temperature","channel":"typed","tells":"tyre temperature","wheel":"","corner":"","options":[],"expect":"","bits":0,"kpa":null,"within_kpa":null,"words":false,"required":false,"names":[],"also":[],"beside":"","by_temperature":[],"least_by_temperature":[],"kelvin":null},{"id":"tread-s1","kind":"tread","label":"Tread of wheel S1","channel":"typed","tells":"tread","wheel":"S1","corner":"","options":[],"expect":"","bits":0,"kpa":null,"within_kpa":null,"words":false,"required":false,"names":[],"also":[],"beside":"","by_temperature":[],"least_by_temperature":[],"kelvin":null},{"id":"tread-s2","kind":"tread","label":"Tread of wheel S2","channel":"typed","tells":"tread","wheel":"S2","corner":"","options":[],"expect":"","bits":0,"kpa":null,"within_kpa":null,"words":false,"required":false,"names":[],"also":[],"beside":"","by_temperature":[],"least_by_temperature":[],"kelvin":null},{"id":"tread-s3","kind":"tread","label":"Tread of wheel S3","channel":"typed","tells":"tread","wheel":"S3","corner":"","options":[],"expect":"","bits":0,"kpa":null,"within_kpa":null,"words":false,"required":false,"names":[],"also":[],"beside":"","by_temperature":[],"least_by_temperature":[],"kelvin":null},{"id":"tread-s4","kind":"tread","label":"Tread of wheel S4","channel":"typed","tells":"tread","wheel":"S4","corner":"","options":[],"expect":"","bits":0,"kpa":null,"within_kpa":null,"words":false,"required":false,"names":[],"also":[],"beside":"","by_temperature":[],"least_by_temperature":[],"kelvin":null},{"id":"tread","kind":"words","label":"Damage, wheel by wheel","channel":"typed","tells":"","wheel":"","corner":"","options":[],"expect":"","bits":0,"kpa":null,"within_kpa":null,"words":false,"required":false,"names":[],"also":[],"beside":"","by_temperature":[],"least_by_temperature":[],"kelvin":null}],"allowed_s":null,"wait_s":null,"does":"store","moves":[{"wheel":"S1","on":null,"corner":"","at":"shed"},{"wheel":"S2","on":null,"corner":"","at":"shed"},{"wheel":"S3","on":null,"corner":"","at":"shed"},{"wheel":"S4","on":null,"corner":"","at":"shed"}]},{"id":"taken-out","stage":"Afterwards","title":"See to the sensors that came out","what":["sensor W3 from wheel W3, printed 2C41A7F","sensor W4 from wheel W4, printed 1893076550","Hand them in as batteries today, and note gone = 2026-11-25 in the [[sensor]] of each."],"why":"A sensor that was silent may wake again, and would then speak with its old ID.","where":"at the bench","expect":"each one is accounted for","evidence":["typed","photo"],"minutes":5,"if_fails":"One that is missing counts as stored within earshot until it is found.","basis":{"ground":"common practice","source":"no source"},"cautions":["Sensors hold a potted lithium cell: do not drill, cut or heat them; hand them in as batteries."],"waits_for":[],"lock":false,"timed":"","optional":false,"asks":[{"id":"done","kind":"done","label":"Each one is accounted for","channel":"typed","tells":"","wheel":"","corner":"","options":[],"expect":"","bits":0,"kpa":null,"within_kpa":null,"words":false,"required":true,"names":[],"also":[],"beside":"","by_temperature":[],"least_by_temperature":[],"kelvin":null},{"id":"photo","kind":"photo","label":"Photo of the sensors taken out","channel":"photo","tells":"","wheel":"","corner":"","options":[],"expect":"","bits":0,"kpa":null,"within_kpa":null,"words":false,"required":false,"names":[],"also":[],"beside":"","by_temperature":[],"least_by_temperature":[],"kelvin":null}],"allowed_s":null,"wait_s":null,"does":"taken out","moves":[]},{"id":"record","stage":"Afterwards","title":"Look over what changes in the book","what":["''Finish the job'' shows what follows from your answers: new sensors, what they send, what the car holds."],"why":"The next plan begins where this job ended.","where":"on this phone","expect":"the changes are right, and finishing puts them into the book","evidence":["typed"],"minutes":5,"if_fails":"Open the step whose answer is wrong and send it again; correct anything else under Facts.","basis":{"ground":"common practice","source":"no source"},"cautions":[],"waits_for":[],"lock":false,"timed":"","optional":false,"asks":[{"id":"done","kind":"done","label":"The record is right","channel":"typed","tells":"","wheel":"","corner":"","options":[],"expect":"","bits":0,"kpa":null,"within_kpa":null,"words":false,"required":true,"names":[],"also":[],"beside":"","by_temperature":[],"least_by_temperature":[],"kelvin":null}],"allowed_s":null,"wait_s":null,"does":"record","moves":[]},{"id":"written-wrongly","stage":"Only if a sensor was written wrongly","title":"Find out what each sensor holds now","what":["Stop writing. Move every wheel and loose sensor a metre apart and trigger each one alone; note what it sends.","Another sensor may have taken the write: look for one ID in two sensors.","Enter what they send in ''sends'' under Facts and look at the ID plan again; it says which to write anew.","A write-once sensor that took a wrong ID is used up: scrap it, note it as gone, take another."],"why":"Two sensors with one ID, or one that the car does not know, are easy to put right now and hard to find later.","where":"at the bench","expect":"each sensor sends the ID that the new plan gives it","evidence":["trigger"],"minutes":15,"if_fails":"A sensor that can''t be made to send its planned ID is not fitted.","basis":{"ground":"common practice","source":"no source"},"cautions":["Writing changes what the car takes this wheel for. Never write an ID that another live wheel carries, except the clone this plan names.","Sensors hold a potted lithium cell: do not drill, cut or heat them; hand them in as batteries."],"waits_for":[],"lock":false,"timed":"","optional":true,"asks":[{"id":"id-w1","kind":"id","label":"ID that wheel W1 sends","channel":"trigger","tells":"read back","wheel":"W1","corner":"","options":[],"expect":"","bits":0,"kpa":null,"within_kpa":null,"words":false,"required":false,"names":[],"also":[],"beside":"","by_temperature":[],"least_by_temperature":[],"kelvin":null},{"id":"id-w2","kind":"id","label":"ID that wheel W2 sends","channel":"trigger","tells":"read back","wheel":"W2","corner":"","options":[],"expect":"","bits":0,"kpa":null,"within_kpa":null,"words":false,"required":false,"names":[],"also":[],"beside":"","by_temperature":[],"least_by_temperature":[],"kelvin":null},{"id":"id-w3","kind":"id","label":"ID that wheel W3 sends","channel":"trigger","tells":"read back","wheel":"W3","corner":"","options":[],"expect":"","bits":0,"kpa":null,"within_kpa":null,"words":false,"required":false,"names":[],"also":[],"beside":"","by_temperature":[],"least_by_temperature":[],"kelvin":null},{"id":"id-w4","kind":"id","label":"ID that wheel W4 sends","channel":"trigger","tells":"read back","wheel":"W4","corner":"","options":[],"expect":"","bits":0,"kpa":null,"within_kpa":null,"words":false,"required":false,"names":[],"also":[],"beside":"","by_temperature":[],"least_by_temperature":[],"kelvin":null}],"allowed_s":null,"wait_s":null,"does":"written wrongly","moves":[]}],"findings":[{"weight":"take care","code":"taken-out","about":"wheel W3","text":"The sensor taken out may wake again: it is scrapped that day, recycled as a battery, and noted as gone.","basis":[{"ground":"common practice","source":"no source"}],"way_out":"write down where it went on the day it comes out"},{"weight":"take care","code":"taken-out","about":"wheel W4","text":"The sensor taken out may wake again: it is scrapped that day, recycled as a battery, and noted as gone.","basis":[{"ground":"common practice","source":"no source"}],"way_out":"write down where it went on the day it comes out"},{"weight":"take care","code":"speed-symbol","about":"front left, wheel W1","text":"Speed symbol H is below the V that the car requires.","basis":[{"ground":"standard","source":"load index and speed symbol: UN R30"},{"ground":"owner''s word","source":"garage file"}],"way_out":"some places allow this for winter tyres with a speed sticker: ask the local rule"},{"weight":"take care","code":"speed-symbol","about":"front right, wheel W2","text":"Speed symbol H is below the V that the car requires.","basis":[{"ground":"standard","source":"load index and speed symbol: UN R30"},{"ground":"owner''s word","source":"garage file"}],"way_out":"some places allow this for winter tyres with a speed sticker: ask the local rule"},{"weight":"take care","code":"speed-symbol","about":"rear left, wheel W3","text":"Speed symbol H is below the V that the car requires.","basis":[{"ground":"standard","source":"load index and speed symbol: UN R30"},{"ground":"owner''s word","source":"garage file"}],"way_out":"some places allow this for winter tyres with a speed sticker: ask the local rule"},{"weight":"take care","code":"speed-symbol","about":"rear right, wheel W4","text":"Speed symbol H is below the V that the car requires.","basis":[{"ground":"standard","source":"load index and speed symbol: UN R30"},{"ground":"owner''s word","source":"garage file"}],"way_out":"some places allow this for winter tyres with a speed sticker: ask the local rule"},{"weight":"note","code":"tyre-age","about":"front left, wheel W1","text":"The tyre is 7 years old (3519): look for cracks every year.","basis":[{"ground":"common practice","source":"a tyre maker: yearly check from 5 years, 10 years as ceiling; NHTSA sets no limit"}],"way_out":""},{"weight":"note","code":"tyre-age","about":"front right, wheel W2","text":"The tyre is 7 years old (3519): look for cracks every year.","basis":[{"ground":"common practice","source":"a tyre maker: yearly check from 5 years, 10 years as ceiling; NHTSA sets no limit"}],"way_out":""},{"weight":"note","code":"tyre-age","about":"rear left, wheel W3","text":"The tyre is 7 years old (3519): look for cracks every year.","basis":[{"ground":"common practice","source":"a tyre maker: yearly check from 5 years, 10 years as ceiling; NHTSA sets no limit"}],"way_out":""},{"weight":"note","code":"tyre-age","about":"rear right, wheel W4","text":"The tyre is 7 years old (3519): look for cracks every year.","basis":[{"ground":"common practice","source":"a tyre maker: yearly check from 5 years, 10 years as ceiling; NHTSA sets no limit"}],"way_out":""}],"due":null}}');
CREATE TABLE job_end (
	job TEXT NOT NULL, 
	entry INTEGER NOT NULL, 
	outcome TEXT NOT NULL, 
	proof TEXT, 
	PRIMARY KEY (job), 
	FOREIGN KEY(job) REFERENCES job (id), 
	FOREIGN KEY(entry) REFERENCES entry (num)
)
 STRICT

;
CREATE TABLE layout (
	version_num VARCHAR(32) NOT NULL, 
	CONSTRAINT layout_pkc PRIMARY KEY (version_num)
);
INSERT INTO "layout" VALUES('0004');
CREATE TABLE mistaken (
	num INTEGER NOT NULL, 
	subject INTEGER NOT NULL, 
	at INTEGER NOT NULL, 
	channel TEXT NOT NULL, 
	pressure_kpa REAL, 
	absolute INTEGER NOT NULL, 
	temperature_k REAL, 
	battery_low INTEGER, 
	instrument TEXT, 
	offset_min INTEGER NOT NULL, 
	entry INTEGER NOT NULL, 
	marked INTEGER NOT NULL, 
	why TEXT NOT NULL, 
	PRIMARY KEY (num), 
	FOREIGN KEY(subject) REFERENCES thing (num), 
	FOREIGN KEY(entry) REFERENCES entry (num), 
	FOREIGN KEY(marked) REFERENCES entry (num)
)
 STRICT

;
CREATE TABLE reading (
	subject INTEGER NOT NULL, 
	at INTEGER NOT NULL, 
	channel TEXT NOT NULL, 
	pressure_kpa REAL, 
	absolute INTEGER NOT NULL, 
	temperature_k REAL, 
	battery_low INTEGER, 
	instrument TEXT, 
	offset_min INTEGER NOT NULL, 
	entry INTEGER NOT NULL, 
	PRIMARY KEY (subject, at, channel), 
	FOREIGN KEY(subject) REFERENCES thing (num), 
	FOREIGN KEY(entry) REFERENCES entry (num)
)
 WITHOUT ROWID,
 STRICT

;
INSERT INTO "reading" VALUES(1,1795605600000000,'gauge',240.0,0,290.15,NULL,'Red gauge',60,5);
INSERT INTO "reading" VALUES(5,1795605600000000,'gauge',240.0,0,290.15,NULL,'Red gauge',60,5);
INSERT INTO "reading" VALUES(9,1795605600000000,'gauge',240.0,0,290.15,NULL,'Red gauge',60,5);
INSERT INTO "reading" VALUES(13,1795605600000000,'gauge',240.0,0,290.15,NULL,'Red gauge',60,5);
INSERT INTO "reading" VALUES(17,1795616400000000,'gauge',267.0,0,290.15,NULL,'Red gauge',60,5);
INSERT INTO "reading" VALUES(17,1795628400000000,'gauge',240.0,0,NULL,NULL,'Red gauge',60,5);
INSERT INTO "reading" VALUES(17,1795629000000000,'gauge',240.0,0,NULL,NULL,'Red gauge',60,5);
INSERT INTO "reading" VALUES(21,1795617000000000,'gauge',210.0,0,290.15,NULL,'Red gauge',60,5);
INSERT INTO "reading" VALUES(21,1795629600000000,'gauge',240.0,0,NULL,NULL,'Red gauge',60,5);
INSERT INTO "reading" VALUES(21,1795630200000000,'gauge',240.0,0,NULL,NULL,'Red gauge',60,5);
INSERT INTO "reading" VALUES(25,1795630800000000,'gauge',240.0,0,NULL,NULL,'Red gauge',60,5);
INSERT INTO "reading" VALUES(25,1795631400000000,'gauge',240.0,0,NULL,NULL,'Red gauge',60,5);
INSERT INTO "reading" VALUES(29,1795618200000000,'gauge',256.0,0,290.15,NULL,'Red gauge',60,5);
INSERT INTO "reading" VALUES(29,1795632000000000,'gauge',240.0,0,NULL,NULL,'Red gauge',60,5);
INSERT INTO "reading" VALUES(29,1795632600000000,'gauge',240.0,0,NULL,NULL,'Red gauge',60,5);
CREATE TABLE reservation (
	num INTEGER NOT NULL, 
	entry INTEGER NOT NULL, 
	wheel TEXT NOT NULL, 
	family TEXT NOT NULL, 
	bits INTEGER NOT NULL, 
	hex TEXT NOT NULL, 
	distance INTEGER NOT NULL, 
	since TEXT NOT NULL, 
	released INTEGER, 
	PRIMARY KEY (num), 
	FOREIGN KEY(entry) REFERENCES entry (num), 
	FOREIGN KEY(released) REFERENCES entry (num)
)
 STRICT

;
INSERT INTO "reservation" VALUES(1,3,'W3','kestrel',32,'8C0B1F52',3,'2026-11-25',NULL);
INSERT INTO "reservation" VALUES(2,3,'W4','kestrel',32,'F5BD3639',3,'2026-11-25',NULL);
CREATE TABLE thing (
	num INTEGER NOT NULL, 
	kind TEXT NOT NULL, 
	"key" TEXT NOT NULL, 
	PRIMARY KEY (num), 
	CONSTRAINT thing_once UNIQUE (kind, "key")
)
 STRICT

;
INSERT INTO "thing" VALUES(1,'wheel','S1');
INSERT INTO "thing" VALUES(2,'sensor','sensor S1');
INSERT INTO "thing" VALUES(3,'tyre','tyre S1');
INSERT INTO "thing" VALUES(4,'rim','rim S1');
INSERT INTO "thing" VALUES(5,'wheel','S2');
INSERT INTO "thing" VALUES(6,'sensor','sensor S2');
INSERT INTO "thing" VALUES(7,'tyre','tyre S2');
INSERT INTO "thing" VALUES(8,'rim','rim S2');
INSERT INTO "thing" VALUES(9,'wheel','S3');
INSERT INTO "thing" VALUES(10,'sensor','sensor S3');
INSERT INTO "thing" VALUES(11,'tyre','tyre S3');
INSERT INTO "thing" VALUES(12,'rim','rim S3');
INSERT INTO "thing" VALUES(13,'wheel','S4');
INSERT INTO "thing" VALUES(14,'sensor','sensor S4');
INSERT INTO "thing" VALUES(15,'tyre','tyre S4');
INSERT INTO "thing" VALUES(16,'rim','rim S4');
INSERT INTO "thing" VALUES(17,'wheel','W1');
INSERT INTO "thing" VALUES(18,'sensor','sensor W1');
INSERT INTO "thing" VALUES(19,'tyre','tyre W1');
INSERT INTO "thing" VALUES(20,'rim','rim W1');
INSERT INTO "thing" VALUES(21,'wheel','W2');
INSERT INTO "thing" VALUES(22,'sensor','sensor W2');
INSERT INTO "thing" VALUES(23,'tyre','tyre W2');
INSERT INTO "thing" VALUES(24,'rim','rim W2');
INSERT INTO "thing" VALUES(25,'wheel','W3');
INSERT INTO "thing" VALUES(26,'sensor','sensor W3');
INSERT INTO "thing" VALUES(27,'tyre','tyre W3');
INSERT INTO "thing" VALUES(28,'rim','rim W3');
INSERT INTO "thing" VALUES(29,'wheel','W4');
INSERT INTO "thing" VALUES(30,'sensor','sensor W4');
INSERT INTO "thing" VALUES(31,'tyre','tyre W4');
INSERT INTO "thing" VALUES(32,'rim','rim W4');
INSERT INTO "thing" VALUES(33,'wheel','A1');
INSERT INTO "thing" VALUES(34,'sensor','sensor A1');
INSERT INTO "thing" VALUES(35,'tyre','tyre A1');
INSERT INTO "thing" VALUES(36,'wheel','A2');
INSERT INTO "thing" VALUES(37,'sensor','sensor A2');
INSERT INTO "thing" VALUES(38,'tyre','tyre A2');
INSERT INTO "thing" VALUES(39,'wheel','A3');
INSERT INTO "thing" VALUES(40,'sensor','sensor A3');
INSERT INTO "thing" VALUES(41,'tyre','tyre A3');
INSERT INTO "thing" VALUES(42,'wheel','A4');
INSERT INTO "thing" VALUES(43,'sensor','sensor A4');
INSERT INTO "thing" VALUES(44,'tyre','tyre A4');
INSERT INTO "thing" VALUES(45,'car','estate');
INSERT INTO "thing" VALUES(46,'set','summer');
INSERT INTO "thing" VALUES(47,'set','winter');
CREATE TABLE visitor (
	id TEXT NOT NULL, 
	digest TEXT NOT NULL, 
	label TEXT NOT NULL, 
	person TEXT NOT NULL, 
	made_at INTEGER NOT NULL, 
	seen_at INTEGER NOT NULL, 
	ended_at INTEGER, 
	PRIMARY KEY (id), 
	UNIQUE (digest)
)
 STRICT

;
CREATE INDEX fact_now ON fact (until, kind);
CREATE INDEX evidence_of_job ON evidence (job, num);
CREATE INDEX event_of_wheel ON event (wheel, at);
CREATE INDEX event_of_sensor ON event (sensor, at);
CREATE INDEX event_of_car ON event (car, at);
CREATE INDEX reading_of_entry ON reading (entry);
CREATE INDEX car_record_car ON car_record (car, num);
CREATE INDEX mistaken_of_subject ON mistaken (subject, at);
COMMIT;
